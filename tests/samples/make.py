"""Writes the samples of this folder: one invented ground in the formats of several writers.

Run by hand, in an environment that has the libraries of the README:

    python make.py

The ground: 165 m from goal line to goal line, 135 m across, an ellipse through the
behind posts (semi-axes a and 67.5 m with a = 82.5 / sqrt(1 - (9.6 / 67.5)^2)), its axis
20 degrees east of true north, in the plane that touches the ground at latitude -34.2,
longitude 142.1, 61 m above the ellipsoid. Latitudes and longitudes are PROJ's, by way
of its topocentric frame; grids are PROJ's transverse Mercator.
"""

import csv
import datetime
import json
import math
import pathlib
import warnings

warnings.filterwarnings("ignore")

import fastkml
import geojson
import geopandas
import gpxpy.gpx
import pandas
import pygeoif.geometry
import pyogrio
import pyproj
import shapely
import simplekml

HERE = pathlib.Path(__file__).parent
LAT, LON, HEIGHT = -34.2, 142.1, 61.0
LENGTH, WIDTH, END, AXIS = 165.0, 135.0, 19.2, 20.0
START = datetime.datetime(2026, 3, 14, 22, 0, 0, tzinfo=datetime.timezone.utc)

TO_EARTH = pyproj.Transformer.from_pipeline(
    "+proj=pipeline"
    f" +step +inv +proj=topocentric +ellps=GRS80 +lat_0={LAT} +lon_0={LON} +h_0={HEIGHT}"
    " +step +inv +proj=cart +ellps=GRS80"
    " +step +proj=unitconvert +xy_in=rad +xy_out=deg"
)


def earth(along, left):
    """Ground frame (toward the northern end, to the left) to longitude and latitude."""
    s, c = math.sin(math.radians(AXIS)), math.cos(math.radians(AXIS))
    lon, lat, _ = TO_EARTH.transform(along * s - left * c, along * c + left * s, 0.0)
    return lon, lat


def ground():
    """(code, longitude, latitude) of every point: the line in the order of a walk, then the posts."""
    a = LENGTH / 2 / math.sqrt(1 - (END / WIDTH) ** 2)
    corner = math.asin(END / WIDTH)
    points = []
    for side in range(2):
        for i in range(24):
            # 24 points a side, from behind post to behind post.
            t = corner + (math.pi - 2 * corner) * i / 23 + math.pi * side
            points.append(("", *earth(a * math.cos(t), WIDTH / 2 * math.sin(t))))
    for end, way in (("N", 1), ("S", -1)):
        for kind, off in (("GP", 3.2), ("BP", 9.6)):
            for side, left in (("W", 1), ("E", -1)):
                points.append((f"{kind} {end}{side}", *earth(way * LENGTH / 2, left * off)))
    points.append(("Canteen", *earth(20.0, -95.0)))
    return points


POINTS = ground()
LINE = [(lon, lat) for code, lon, lat in POINTS if not code]
OTHERS = [p for p in POINTS if p[0]]
TIMES = [START + datetime.timedelta(seconds=5 * i) for i in range(len(LINE))]


def stamp(time):
    return time.strftime("%Y-%m-%dT%H:%M:%SZ")


def truth():
    with open(HERE / "truth.csv", "w", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(["code", "lat", "lon"])
        for code, lon, lat in POINTS:
            out.writerow([code, f"{lat:.12f}", f"{lon:.12f}"])


def gpx_by_gpxpy():
    """A track of two segments with times, and waypoints."""
    gpx = gpxpy.gpx.GPX()
    for code, lon, lat in OTHERS:
        gpx.waypoints.append(gpxpy.gpx.GPXWaypoint(lat, lon, elevation=HEIGHT, name=code))
    track = gpxpy.gpx.GPXTrack(name="walk")
    for first in (0, 24):
        track.segments.append(gpxpy.gpx.GPXTrackSegment([
            gpxpy.gpx.GPXTrackPoint(lat, lon, elevation=HEIGHT, time=time, horizontal_dilution=0.6)
            for (lon, lat), time in list(zip(LINE, TIMES))[first:first + 24]
        ]))
    gpx.tracks.append(track)
    (HERE / "gpxpy.gpx").write_text(gpx.to_xml(version="1.1"))


def frame(codes, geometries, crs="EPSG:4326"):
    return geopandas.GeoDataFrame({"name": codes}, geometry=geometries, crs=crs)


def gpx_by_gdal():
    """Waypoints alone: the line's are named by number."""
    codes = [code or f"Line {i + 1}" for i, (code, *_) in enumerate(POINTS)]
    points = [shapely.Point(lon, lat, HEIGHT) for _, lon, lat in POINTS]
    data = frame(codes, points).assign(ele=HEIGHT)
    pyogrio.write_dataframe(data, HERE / "gdal.gpx", driver="GPX", layer="waypoints")


def kml_by_simplekml():
    """A gx:Track with times, points in a folder; and a KMZ with a polygon."""
    for name, save in (("simplekml-track.kml", "save"), ("simplekml.kmz", "savekmz")):
        kml = simplekml.Kml(name="survey")
        if save == "save":
            track = kml.newgxtrack(name="walk")
            track.newwhen([stamp(t) for t in TIMES])
            track.newgxcoord([(lon, lat, HEIGHT) for lon, lat in LINE])
        else:
            ring = [(lon, lat, HEIGHT) for lon, lat in LINE + LINE[:1]]
            kml.newpolygon(name="boundary", outerboundaryis=ring)
        folder = kml.newfolder(name="posts")
        for code, lon, lat in OTHERS:
            folder.newpoint(name=code, coords=[(lon, lat, HEIGHT)])
        getattr(kml, save)(str(HERE / name))


def kml_by_fastkml():
    """A polygon and points."""
    kml = fastkml.KML()
    document = fastkml.Document(name="survey")
    kml.append(document)
    ring = pygeoif.geometry.Polygon([(lon, lat, HEIGHT) for lon, lat in LINE + LINE[:1]])
    document.append(fastkml.Placemark(name="edge", geometry=ring))
    for code, lon, lat in OTHERS:
        document.append(fastkml.Placemark(name=code, geometry=pygeoif.geometry.Point(lon, lat, HEIGHT)))
    (HERE / "fastkml.kml").write_text(kml.to_string(precision=12))


def shapes(to=lambda lon, lat: (lon, lat)):
    codes = ["boundary"] + [code for code, *_ in OTHERS]
    ring = [(*to(lon, lat), HEIGHT) for lon, lat in LINE]
    return codes, [shapely.Polygon(ring)] + [shapely.Point(*to(lon, lat), HEIGHT) for _, lon, lat in OTHERS]


def kml_by_gdal():
    codes, geometries = shapes()
    data = frame(codes, geometries).rename(columns={"name": "Name"})
    pyogrio.write_dataframe(data, HERE / "gdal.kml", driver="KML")


def geojson_by_gdal():
    """Longitude and latitude with more decimals than the default 7; and a map grid with its crs."""
    codes, geometries = shapes()
    pyogrio.write_dataframe(
        frame(codes, geometries, "EPSG:4326"), HERE / "gdal.geojson", driver="GeoJSON",
        COORDINATE_PRECISION=11,
    )
    grid = pyproj.Transformer.from_crs("EPSG:7844", "EPSG:7854", always_xy=True)
    codes, geometries = shapes(grid.transform)
    pyogrio.write_dataframe(
        frame(codes, geometries, "EPSG:7854"), HERE / "gdal-mga2020.geojson", driver="GeoJSON",
        COORDINATE_PRECISION=4,
    )


def geojson_by_geojson():
    """A line with times and points."""
    line = geojson.Feature(
        geometry=geojson.LineString([(lon, lat, HEIGHT) for lon, lat in LINE], precision=12),
        properties={"title": "walk", "coordTimes": [stamp(t) for t in TIMES]},
    )
    points = [
        geojson.Feature(geometry=geojson.Point((lon, lat, HEIGHT), precision=12), properties={"code": code})
        for code, lon, lat in OTHERS
    ]
    with open(HERE / "geojson.geojson", "w") as f:
        geojson.dump(geojson.FeatureCollection([line, *points]), f, indent=1)


def geojson_by_shapely():
    """GDA94 on its grid: PROJ's shift of datum, and shapely's geometries, all in one multipoint."""
    old = pyproj.Transformer.from_pipeline(
        "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=cart +ellps=GRS80"
        # GDA94 to GDA2020 of the register (EPSG 8048), backwards.
        " +step +inv +proj=helmert +x=0.06155 +y=-0.01087 +z=-0.04019 +rx=-0.0394924 +ry=-0.0327221"
        " +rz=-0.0328979 +s=-0.009994 +convention=coordinate_frame"
        " +step +inv +proj=cart +ellps=GRS80"
        " +step +proj=utm +zone=54 +south +ellps=GRS80"
    )
    def to(lon, lat):
        east, north, _ = old.transform(lon, lat, HEIGHT)
        return round(east, 5), round(north, 5)

    members = [{"type": "Feature", "properties": {"name": "oval"},
                "geometry": shapely.geometry.mapping(shapely.MultiPoint([to(*p) for p in LINE]))}]
    for code, lon, lat in OTHERS:
        members.append({"type": "Feature", "properties": {"name": code},
                        "geometry": shapely.geometry.mapping(shapely.Point(*to(lon, lat)))})
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::28354"}}
    document = {"type": "FeatureCollection", "crs": crs, "features": members}
    (HERE / "shapely-mga94.geojson").write_text(json.dumps(document) + "\n")


def csv_by_pandas():
    codes = [code for code, *_ in POINTS]
    lon, lat = [p[1] for p in POINTS], [p[2] for p in POINTS]
    times = [stamp(t) for t in TIMES] + [""] * len(OTHERS)
    pandas.DataFrame({"time": times, "lat": lat, "lon": lon, "height": HEIGHT, "code": codes}).to_csv(
        HERE / "pandas.csv", index=False, float_format="%.11f", lineterminator="\n")
    grid = pyproj.Transformer.from_crs("EPSG:7844", "EPSG:7854", always_xy=True)
    east, north = grid.transform(lon, lat)
    pandas.DataFrame(
        {"easting": east, "northing": north, "zone": 54, "height": HEIGHT, "code": codes}
    ).to_csv(HERE / "pandas-mga2020.csv", index=False, float_format="%.5f", sep=";", lineterminator="\n")


# GDAL adds to a file that is there, and then writes it another way.
for old in HERE.iterdir():
    if old.suffix in (".gpx", ".kml", ".kmz", ".geojson", ".csv"):
        old.unlink()
truth()
gpx_by_gpxpy()
gpx_by_gdal()
kml_by_simplekml()
kml_by_fastkml()
kml_by_gdal()
geojson_by_gdal()
geojson_by_geojson()
geojson_by_shapely()
csv_by_pandas()
