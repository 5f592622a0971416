"""Counts and compares the samples by independent readers against truth.csv. Run by hand."""

import csv
import json
import math
import pathlib
import warnings
import zipfile
from xml.etree import ElementTree

warnings.filterwarnings("ignore")

import fastkml
import gpxpy
import pyogrio
import pyproj

HERE = pathlib.Path(__file__).parent
METRE = 111_000.0
with open(HERE / "truth.csv") as f:
    TRUTH = [(r["code"], float(r["lon"]), float(r["lat"])) for r in csv.DictReader(f)]
LINE = [(lon, lat) for code, lon, lat in TRUTH if not code]
OTHERS = {code: (lon, lat) for code, lon, lat in TRUTH if code}


def worst(line, others):
    """Most metres by which any point is off; every one must be there, a ring without its last point."""
    line = line[:-1] if len(line) == len(LINE) + 1 and line[0] == line[-1] else line
    assert len(line) == len(LINE), len(line)
    assert others.keys() == OTHERS.keys(), others.keys()
    pairs = list(zip(line, LINE)) + [(others[c], OTHERS[c]) for c in OTHERS]
    return max(METRE * math.hypot(p[0] - q[0], p[1] - q[1]) for p, q in pairs)


def by_gpxpy(file):
    gpx = gpxpy.parse((HERE / file).read_text())
    named = {w.name: (w.longitude, w.latitude) for w in gpx.waypoints}
    if gpx.tracks:
        line = [(p.longitude, p.latitude) for t in gpx.tracks for s in t.segments for p in s.points]
    else:
        line = [named.pop(f"Line {i + 1}") for i in range(len(LINE))]
    return line, named


def by_gdal(file, layers=None, to=lambda x, y: (x, y)):
    line, others = [], {}
    layers = layers or [name for name, _ in pyogrio.list_layers(HERE / file)]
    for layer in layers:
        data = pyogrio.read_dataframe(HERE / file, layer=layer)
        column = next((c for c in ("Name", "name", "code") if c in data), None)
        for _, row in data.iterrows():
            g = row.geometry
            if layer == "track_points":
                line.append(to(g.x, g.y))
            elif g.geom_type == "Point":
                others[row[column]] = to(g.x, g.y)
            elif g.geom_type == "Polygon":
                line += [to(*p[:2]) for p in g.exterior.coords]
            elif g.geom_type == "MultiPoint":
                line += [to(p.x, p.y) for p in g.geoms]
            else:
                line += [to(*p[:2]) for p in g.coords]
    return line, others


def by_fastkml(text):
    line, others = [], {}
    def walk(node):
        for f in getattr(node, "features", None) or []:
            g = getattr(f, "geometry", None)
            if g is None:
                walk(f)
            elif g.geom_type == "Point":
                others[f.name] = g.coords[0][:2]
            elif g.geom_type == "Polygon":
                line.extend(p[:2] for p in g.exterior.coords)
            else:
                line.extend(p[:2] for p in g.coords)
    walk(fastkml.KML.from_string(text))
    return line, others


def by_element_tree(file):
    """gx:Track, by Python's own XML reader."""
    root = ElementTree.parse(HERE / file).getroot()
    kml, gx = "{http://www.opengis.net/kml/2.2}", "{http://www.google.com/kml/ext/2.2}"
    line = [tuple(map(float, c.text.split()[:2])) for c in root.iter(gx + "coord")]
    assert len(line) == len(list(root.iter(kml + "when")))
    others = {}
    for p in root.iter(kml + "Placemark"):
        if (at := p.find(f"{kml}Point/{kml}coordinates")) is not None:
            others[p.find(kml + "name").text] = tuple(map(float, at.text.split(",")[:2]))
    return line, others


def by_csv(file, delimiter, pick):
    line, others = [], {}
    with open(HERE / file) as f:
        for row in csv.DictReader(f, delimiter=delimiter):
            if row["code"]:
                others[row["code"]] = pick(row)
            else:
                line.append(pick(row))
    return line, others


from_mga2020 = pyproj.Transformer.from_crs("EPSG:7854", "EPSG:7844", always_xy=True).transform
shift = pyproj.Transformer.from_pipeline(
    "+proj=pipeline +step +inv +proj=utm +zone=54 +south +ellps=GRS80"
    " +step +proj=push +v_3 +step +proj=cart +ellps=GRS80"
    " +step +proj=helmert +x=0.06155 +y=-0.01087 +z=-0.04019 +rx=-0.0394924 +ry=-0.0327221"
    " +rz=-0.0328979 +s=-0.009994 +convention=coordinate_frame"
    " +step +inv +proj=cart +ellps=GRS80 +step +proj=pop +v_3"
    " +step +proj=unitconvert +xy_in=rad +xy_out=deg"
)
with zipfile.ZipFile(HERE / "simplekml.kmz") as z:
    kmz = z.read("doc.kml").decode()

for file, how, read in [
    ("gpxpy.gpx", "GDAL", (by_gdal("gpxpy.gpx", ["track_points"])[0], by_gdal("gpxpy.gpx", ["waypoints"])[1])),
    ("gdal.gpx", "gpxpy", by_gpxpy("gdal.gpx")),
    ("simplekml-track.kml", "ElementTree", by_element_tree("simplekml-track.kml")),
    ("simplekml.kmz", "fastkml", by_fastkml(kmz)),
    ("fastkml.kml", "GDAL", by_gdal("fastkml.kml")),
    ("gdal.kml", "fastkml", by_fastkml((HERE / "gdal.kml").read_bytes().decode())),
    ("gdal.geojson", "json", None),
    ("gdal-mga2020.geojson", "GDAL", by_gdal("gdal-mga2020.geojson", to=from_mga2020)),
    ("geojson.geojson", "GDAL", by_gdal("geojson.geojson")),
    ("shapely-mga94.geojson", "GDAL", by_gdal("shapely-mga94.geojson", to=lambda x, y: shift.transform(x, y))),
    ("pandas.csv", "csv", by_csv("pandas.csv", ",", lambda r: (float(r["lon"]), float(r["lat"])))),
    ("pandas-mga2020.csv", "csv and PROJ",
     by_csv("pandas-mga2020.csv", ";", lambda r: from_mga2020(float(r["easting"]), float(r["northing"])))),
]:
    if read is None:
        features = json.loads((HERE / file).read_text())["features"]
        read = ([tuple(p[:2]) for p in features[0]["geometry"]["coordinates"][0]],
                {f["properties"]["name"]: tuple(f["geometry"]["coordinates"][:2]) for f in features[1:]})
    off = worst(*read)
    # Four decimals of a metre are the coarsest; a tenth of a millimetre covers them.
    assert off < 1e-4, (file, off)
    print(f"{file:24} by {how:12} {len(TRUTH)} points, off by {off:.1e} m at most")
