"""Writes evenings.csv: sunset, civil twilight and sunrise by PyEphem 4.2.1 (VSOP87), without refraction of its own: the sun's
centre at 50 minutes of arc below the horizon, or at 6 degrees. Nights begin on the 11th of each month of 2026."""

import datetime
import zoneinfo

import ephem

PLACES = [
    ("Thurso", 58.6, -3.52, "Europe/London"),
    ("Greenwich", 51.4779, 0.0, "Europe/London"),
    ("Nairobi", -1.2864, 36.8172, "Africa/Nairobi"),
    ("Melbourne", -37.8136, 144.9631, "Australia/Melbourne"),
    ("Apia", -13.83, -171.77, "Pacific/Apia"),
    ("Tromso", 69.65, 18.96, "Europe/Oslo"),
    ("Anchorage", 61.2181, -149.9003, "America/Anchorage"),
]
EVENTS = [("set", "-0:50", 0), ("set", "-6", 0), ("rise", "-6", 1), ("rise", "-0:50", 1)]


def noon(date, zone, days):
    day = datetime.datetime(date.year, date.month, date.day, 12) + datetime.timedelta(days=days)
    return day.replace(tzinfo=zoneinfo.ZoneInfo(zone)).astimezone(datetime.timezone.utc)


def event(latitude, longitude, zone, date, kind, horizon, days):
    observer = ephem.Observer()
    observer.lat, observer.lon, observer.pressure = str(latitude), str(longitude), 0
    observer.horizon = horizon
    base = noon(date, zone, days)
    observer.date = base.replace(tzinfo=None)
    find = observer.next_setting if kind == "set" else observer.previous_rising
    try:
        at = find(ephem.Sun(), use_center=True).datetime().replace(tzinfo=datetime.timezone.utc)
    except (ephem.AlwaysUpError, ephem.NeverUpError):
        return "-"
    # Of another day: the sun does not do it that night.
    return at.strftime("%Y-%m-%dT%H:%M:%SZ") if abs((at - base).total_seconds()) < 15 * 3600 else "-"


with open("evenings.csv", "w") as out:
    out.write("place,latitude_deg,longitude_deg,time_zone,date,sunset,dusk,first_light,sunrise\n")
    for name, latitude, longitude, zone in PLACES:
        for month in range(1, 13):
            date = datetime.date(2026, month, 11)
            found = [event(latitude, longitude, zone, date, *which) for which in EVENTS]
            out.write(",".join(map(str, [name, latitude, longitude, zone, date, *found])) + "\n")
