"""Passes of the ten invented satellites of bench10.tle over one place for ten
days, by PyEphem's next_pass (libastro, which has a propagator and an Earth of
its own). Writes passes.csv. Run: python3 passes.py (Debian: python3-ephem)."""
import csv
import ephem

LAT, LON = "52.520833333", "13.375"
START, DAYS = ephem.Date("2026/9/1"), 10


def iso(date):
    y, m, d, hh, mm, ss = date.tuple()
    return f"{y:04}-{m:02}-{d:02}T{hh:02}:{mm:02}:{ss:06.3f}Z"


def passes(name, one, two):
    bird = ephem.readtle(name, one, two)
    place = ephem.Observer()
    place.lat, place.lon, place.elevation = LAT, LON, 0
    place.pressure, place.horizon = 0, "0"
    place.date = START - 40 * ephem.minute
    while True:
        try:
            rise, rise_az, top, top_el, fall, fall_az = place.next_pass(bird)
        except ValueError:  # it never rises here
            return
        if fall and rise and fall - rise < ephem.second:
            # On grazing passes it may find LOS for AOS, depending on the start.
            for minutes in (1, 2, 3, 4, 5):
                place.date = fall - minutes * ephem.minute
                again = place.next_pass(bird)
                if again[4] - again[0] > ephem.second and abs(again[4] - fall) < ephem.minute:
                    rise, rise_az, top, top_el, fall, fall_az = again
                    break
        if rise is None or fall is None or top is None:
            place.date += 10 * ephem.minute
            continue
        if top >= START + DAYS:
            return
        if fall > rise and top >= START:
            yield [name, iso(rise), deg(rise_az), iso(top), deg(top_el), iso(fall), deg(fall_az)]
        place.date = fall + ephem.minute


def deg(angle):
    return f"{float(angle) * 180 / ephem.pi:.4f}"


lines = open("bench10.tle").read().split("\n")
with open("passes.csv", "w", newline="") as out:
    table = csv.writer(out, lineterminator="\n")
    table.writerow(["sat", "aos_utc", "aos_az_deg", "tca_utc", "peak_el_deg", "los_utc", "los_az_deg"])
    for i in range(0, 30, 3):
        for row in passes(lines[i], lines[i + 1], lines[i + 2]):
            table.writerow(row)
