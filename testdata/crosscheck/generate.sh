#!/bin/sh
# Makes the tables of this folder anew. Needs node, npm, a C compiler, Debian's liblcms2-dev
# and python3-shapely. The tables are checked in, so that the tests need only Go.
set -eu
cd "$(dirname "$0")"
here=$(pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp package.json lcms.c polygons.py "$work"
mkdir "$work/src"
cp generate.mjs chart.mjs "$work/src"
cd "$work"
npm install --silent
(cd src && node generate.mjs && node chart.mjs)
cc -O1 -o lcms lcms.c -llcms2
for table in differences lab; do
	./lcms "$table" <"src/$table.csv" >"$here/$table.csv"
done
./lcms daylight >"$here/daylight.csv"
/usr/bin/python3 polygons.py # the one that has Debian's packages
for table in spaces srgb ictcp cam16 adaptation chart; do
	cp "src/$table.csv" "$here"
done
cp polygons.csv "$here"
