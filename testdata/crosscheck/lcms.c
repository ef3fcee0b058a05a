/* Adds columns of Little CMS to the tables of this folder, from stdin to stdout. Run by generate.sh.
 * The first argument says which: differences, lab or daylight (which needs no input). */
#include <lcms2.h>
#include <stdio.h>
#include <string.h>

static void differences(const char *line) {
	cmsCIELab c, d;
	if (sscanf(line, "%lf,%lf,%lf,%lf,%lf,%lf", &c.L, &c.a, &c.b, &d.L, &d.a, &d.b) != 6) return;
	printf(",%.11g,%.11g,%.11g,%.11g", cmsDeltaE(&c, &d), cmsCIE94DeltaE(&c, &d),
		cmsCIE2000DeltaE(&c, &d, 1, 1, 1), cmsCIE2000DeltaE(&c, &d, 2, 1.5, 0.5));
}

static void lab(const char *line) {
	cmsCIEXYZ c, white = {0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290};
	cmsCIELab out;
	if (sscanf(line, "%lf,%lf,%lf", &c.X, &c.Y, &c.Z) != 3) return;
	cmsXYZ2Lab(&white, &out, &c);
	printf(",%.11g,%.11g,%.11g", out.L, out.a, out.b);
}

static void daylight_locus(void) {
	printf("# Daylight chromaticities: Little CMS 2.14.\nT_K,x,y\n");
	for (double kelvin = 4000; kelvin <= 25000; kelvin += 350) {
		cmsCIExyY c;
		if (cmsWhitePointFromTemp(&c, kelvin)) printf("%g,%.11g,%.11g\n", kelvin, c.x, c.y);
	}
}

int main(int argc, char **argv) {
	char line[4096];
	if (argc != 2) return 2;
	if (!strcmp(argv[1], "daylight")) { daylight_locus(); return 0; }
	int pairs = !strcmp(argv[1], "differences");
	while (fgets(line, sizeof line, stdin)) {
		line[strcspn(line, "\n")] = 0;
		fputs(line, stdout);
		if (line[0] == 'L' || line[0] == 'X') fputs(pairs ? ",l76,l94,l2000,l2000w" : ",lL,la,lb", stdout);
		else if (line[0] != '#') pairs ? differences(line) : lab(line);
		putchar('\n');
	}
	return 0;
}
