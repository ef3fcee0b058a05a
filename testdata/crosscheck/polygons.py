"""Writes polygons.csv: areas that pairs of convex polygons share, by Shapely. Run by generate.sh."""
import random

from shapely.geometry import MultiPoint

random.seed(20260101)


def corners(count):
    """Corners of a convex polygon of so many corners, counter-clockwise, to four digits."""
    while True:
        points = [(round(random.random(), 4), round(random.random(), 4)) for _ in range(count)]
        hull = MultiPoint(points).convex_hull
        if hull.geom_type == "Polygon" and len(hull.exterior.coords) == count + 1 and hull.area > 0.01:
            return hull


with open("polygons.csv", "w") as out:
    out.write("# Areas of two convex polygons, p of three corners and q of four, and of what they share: Shapely 1.8.5.\n")
    out.write("x1,y1,x2,y2,x3,y3,x4,y4,x5,y5,x6,y6,x7,y7,area_p,area_q,shared\n")
    for _ in range(300):
        p, q = corners(3), corners(4)
        numbers = [v for point in list(p.exterior.coords)[:-1] + list(q.exterior.coords)[:-1] for v in point]
        areas = [p.area, q.area, p.intersection(q).area]
        out.write(",".join("%.11g" % v for v in numbers + areas) + "\n")
