"""Weather files in the layouts of their publishers, figures and stations invented, with what each day then is.

A day is (rain mm, lowest degC, highest degC). ASK names the option that is asked for, with the answer that gives the
days; REFUSED words of the refusal. The layouts are those of the publishers' own descriptions: GHCN-Daily readme and
by-station readme, GSOD readme, LCD documentation, ISD-Lite format description; the others as their downloads look.
"""

from __future__ import annotations

from typing import NamedTuple

Days = dict[str, tuple[float | None, float | None, float | None]]


class File(NamedTuple):
    """One file: its text, its days; the answers that it needs, or words of its refusal."""

    text: str
    days: Days
    ask: tuple[str, str] | None = None
    refused: str = ""
    zone: str = "America/Los_Angeles"


def hours(day: str, count: int = 24, *, sign: str = " ", first: int = 0, rain: dict[int, str] | None = None,
          temperature: str = "10") -> str:
    """Rows of a day's hours: stamp, temperature (the hour's number added to it), rain."""
    return "".join(f"{day}{sign}{hour:02}:00,{int(temperature) + hour % 12},{(rain or {}).get(hour, '0')}\n"
                   for hour in range(first, first + count))


GHCN_TITLES = '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","PRCP","PRCP_ATTRIBUTES","TMAX",' \
              '"TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES"\n'
GSOD_TITLES = '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","TEMP","MAX","MAX_ATTRIBUTES","MIN",' \
              '"MIN_ATTRIBUTES","PRCP","PRCP_ATTRIBUTES","SNDP","FRSHTT"\n'
MODEL = "latitude,longitude,elevation,utc_offset_seconds,timezone,timezone_abbreviation\n" \
        "38.5,-121.7,18.0,{offset},America/Los_Angeles,GMT-8\n\n"
ORDER = '"STATION","NAME","DATE","PRCP","TMAX","TMIN"\n'


def _order(*rows: str) -> str:
    return ORDER + "".join(f'"XX1","TERN HILL, US","2026-01-0{number}",{row}\n' for number, row in enumerate(rows, 1))


def _dly(element: str, *values: tuple[int, str]) -> str:
    cells = [f"{value:5}{marks}" for value, marks in values] + ["-9999   "] * (31 - len(values))
    return f"XXW00012345202602{element}{''.join(cells)}\n"


FILES: dict[str, File] = {
    "ghcn access": File(
        GHCN_TITLES +
        '"XXW1","2026-01-01","1","2","3","TERN HILL, US","   84",",,W,2400","    6",",,W","  -43",",,W"\n'
        '"XXW1","2026-01-02","1","2","3","TERN HILL, US","    0","T,,W,0700","  428",",I,W","  -66",",,W"\n'
        '"XXW1","2026-01-03","1","2","3","TERN HILL, US","  300","A,,W","   70",",,W","",""\n',
        {"2026-01-01": (8.4, -4.3, 0.6), "2026-01-02": (0.0, -6.6, None), "2026-01-03": (None, None, 7.0)}),
    "ghcn monthly look-alike": File(
        GHCN_TITLES + '"XXW1","2026-01","1","2","3","TERN HILL, US","64.4",",,,Z","4.17",",,,Z","-1.29",",,,Z"\n', {},
        refused="one line per month"),
    "ghcn by year": File(
        "XXW00012345,20260101,TMAX,6,,,W,2400\nXXW00012345,20260101,TMIN,-43,,,W,\nXXW00012345,20260101,PRCP,84,,,W,\n"
        "XXW00012345,20260102,MDPR,250,,,W,\nXXW00012345,20260102,DAPR,3,,,W,\nXXW00012345,20260102,TMAX,428,,I,W,\n"
        "XXW00012345,20260102,TMIN,-66,,,W,\n",
        {"2026-01-01": (8.4, -4.3, 0.6), "2026-01-02": (None, -6.6, None)}),
    "ghcn by station": File(
        "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\nXXW00012345,20260101,PRCP,0,T,,W,0700\n"
        "XXW00012345,20260101,TMAX,123,,,W,\n", {"2026-01-01": (0.0, None, 12.3)}),
    "ghcn by year, two stations": File(
        "XXW00012345,20260101,TMAX,6,,,W,2400\nXXW00054321,20260101,TMAX,60,,,W,2400\n",
        {"2026-01-01": (None, None, 6.0)}, ask=("station", "XXW00054321")),
    "ghcn dly": File(
        _dly("PRCP", (84, "  W"), (0, "T W"), (300, "  W")) + _dly("TMAX", (6, "  W"), (428, " IW")) +
        _dly("TMIN", (-43, "  W"), (-9999, "   ")),
        {"2026-02-01": (8.4, -4.3, 0.6), "2026-02-02": (0.0, None, None), "2026-02-03": (30.0, None, None)}),
    "order form, inches": File(_order('"0.33","33","18"', '"0.00","58","24"'), {
        "2026-01-01": (8.382, -7.7778, 0.5556), "2026-01-02": (0.0, -4.4444, 14.4444)}, ask=("units", "us")),
    "order form, metric": File(_order('"8.4","0.6","-7.7"', '"0.0","14.4","2.2"'), {
        "2026-01-01": (8.4, -7.7, 0.6), "2026-01-02": (0.0, 2.2, 14.4)}, ask=("units", "metric")),
    "order form, whole numbers": File(_order('"0","85","60"', '"0","88","61"'), {
        "2026-01-01": (0.0, 15.5556, 29.4444), "2026-01-02": (0.0, 16.1111, 31.1111)}, ask=("units", "us")),
    "order form, tenths that nothing else can be": File(_order('"12","306","170"', '"0","290","150"'), {
        "2026-01-01": (1.2, 17.0, 30.6), "2026-01-02": (0.0, 15.0, 29.0)}),
    "order form, summer in °F with rain": File(_order('"0.25","95","66"'), {"2026-01-01": (6.35, 18.8889, 35.0)}),
    "gsod": File(
        GSOD_TITLES + "".join(f'"1","2026-01-0{n}","4","5","7.6","TERN FIELD, US","41.0","{high}"," ","{low}","*",'
                              f'"{rain}","{mark}","999.9","000000"\n' for n, (high, low, rain, mark) in enumerate((
                                  ("  50.0", "  30.2", " 0.10", "G"), ("9999.9", "  33.8", "99.99", " "),
                                  ("  50.0", "  30.2", " 0.12", "A"), ("  50.0", "  30.2", " 0.00", "I")), 1)),
        {"2026-01-01": (2.54, -1.0, 10.0), "2026-01-02": (None, 1.0, None), "2026-01-03": (None, -1.0, 10.0),
         "2026-01-04": (None, -1.0, 10.0)}),
    "pixel": File(
        "Latitude: 36.0  Longitude: -84.2\nTile: 1\n\nyear,yday,prcp (mm/day),tmax (deg c),tmin (deg c),vp (Pa)\n"
        "2024.0,60.0,4.0,17.0,2.5,720.0\n2024.0,365.0,0.0,9.0,-1.0,300.0\n",
        {"2024-02-29": (4.0, 2.5, 17.0), "2024-12-30": (0.0, -1.0, 9.0)}),
    "kelvin": File(
        "# one point\nyyyy-mm-dd,pr(mm),tmmx(K),tmmn(K),srad(Wm-2)\n2026-01-01,3.2,288.2,279.4,88\n"
        "2026-01-02,-9999,289.6,278.1,101\n", {"2026-01-01": (3.2, 6.25, 15.05), "2026-01-02": (None, 4.95, 16.45)}),
    "model, metric": File(
        MODEL.format(offset=-28800) + "time,temperature_2m_max (°C),temperature_2m_min (°C),precipitation_sum (mm)\n"
        "2026-01-01,15.1,6.2,2.40\n2026-01-02,12.6,5.5,NaN\n",
        {"2026-01-01": (2.4, 6.2, 15.1), "2026-01-02": (None, 5.5, 12.6)}),
    "model, us": File(
        MODEL.format(offset=-28800) + "time,temperature_2m_max (°F),temperature_2m_min (°F),precipitation_sum (inch)\n"
        "2026-01-01,59.0,43.7,0.100\n", {"2026-01-01": (2.54, 6.5, 15.0)}),
    "model, hours": File(
        MODEL.format(offset=-28800) + "time,temperature_2m (°C),precipitation (mm)\n" +
        hours("2026-01-01", sign="T", rain={0: "9.0", 3: "0.3", 4: "0.3"}) +
        hours("2026-01-02", 5, sign="T", rain={0: "0.5"}), {"2026-01-01": (1.1, 10.0, 21.0)}),
    "power": File(
        "-BEGIN HEADER-\nThe value for missing data: -999\nT2M_MAX         Temperature at 2 Meters Maximum (C) \n"
        "T2M_MIN         Temperature at 2 Meters Minimum (C) \nPRECTOTCORR     Precipitation Corrected (mm/day) \n"
        "-END HEADER-\nYEAR,MO,DY,PRECTOTCORR,T2M_MAX,T2M_MIN\n2026,1,1,0.41,6.12,-5.3\n2026,1,2,-999,4.4,-7.0\n",
        {"2026-01-01": (0.41, -5.3, 6.12), "2026-01-02": (None, -7.0, 4.4)}),
    "isd-lite": File(
        "".join(f"2026 01 15 {hour:02}  {-50 + 10 * (hour % 12):4} -9999 10132   180    30     4 {rain:5} -9999\n"
                for hour, rain in enumerate([0, 25, -1, *[0] * 20, -9999])),
        {"2026-01-15": (2.5, -5.0, 6.0)}, ask=("format", "isd-lite"), zone="UTC"),
    "isd": File(
        '"STATION","DATE","REPORT_TYPE","TMP","AA1"\n' + "".join(
            f'"1","2026-01-15T{hour:02}:30:00","FM-15","+{100 + hour:04},1","{"06" if hour == 6 else "01"},0010,9,1"\n'
            for hour in range(24)), {"2026-01-15": (23.0, 10.0, 12.3)}, zone="UTC"),
    "lcd": File(
        '"STATION","DATE","REPORT_TYPE","HourlyDryBulbTemperature","HourlyPrecipitation",'
        '"DailyMaximumDryBulbTemperature","DailyMinimumDryBulbTemperature","DailyPrecipitation"\n'
        '"7","2026-01-15T00:53:00","FM-15","45","0.02s","","",""\n'
        '"7","2026-01-15T23:59:00","SOD  ","","","50","41","0.05s"\n'
        '"7","2026-01-16T23:59:00","SOD  ","","","*","41","T"\n',
        {"2026-01-15": (1.27, 5.0, 10.0), "2026-01-16": (0.0, 5.0, None)}),
    "lcd with fractions": File(
        '"STATION","DATE","REPORT_TYPE","HourlyPrecipitation","DailyMaximumDryBulbTemperature",'
        '"DailyMinimumDryBulbTemperature","DailyPrecipitation"\n'
        '"7","2026-01-15T23:59:00","SOD  ","","10.5","4.2","1.3"\n', {"2026-01-15": (1.3, 4.2, 10.5)},
        ask=("units", "metric")),
    "lcd hours": File(
        '"STATION","DATE","REPORT_TYPE","HourlyDryBulbTemperature","HourlyPrecipitation","DailyPrecipitation"\n' +
        "".join(f'"7","2026-01-15T{hour:02}:53:00","FM-15","{50 + hour}","{"T" if hour else "0.10"}",""\n'
                for hour in range(24)) + '"7","2026-01-15T05:20:00","FM-16","99","5.00",""\n',
        {"2026-01-15": (2.54, 10.0, 22.7778)}),
    "airport": File(
        "#DEBUG: Format Typ -> comma\nstation,valid,tmpf,sknt,p01i\n" + "".join(
            f"XTRN,2026-02-22 {hour:02}:{minute},50.0,5.0,{rain}\n" for hour in range(24)
            for minute, rain in (("21", "0.04"), ("53", "0.10" if hour < 2 else "T" if hour < 4 else "0.00"))),
        {"2026-02-22": (2 * 2.54 + 22 * 1.016, 10.0, 10.0)}, zone="UTC"),
    "airport, three hours": File(
        "station,valid,tmpf,p01i\nXTRN,2026-02-22 10:00,38.0,0.00\nXTRN,2026-02-22 11:00,40.5,M\n", {},
        refused="20 hours"),
    "irrigation station": File(
        "Stn Id,Stn Name,CIMIS Region,Date,Jul,ETo (mm),qc,Precip (mm),qc,Max Air Temp (C),qc,Min Air Temp (C),qc\n"
        "6,Tern,Valley,1/2/2026,2,7.62, ,1.5, ,38.1,Y,15.9, \n6,Tern,Valley,1/3/2026,3,--,M,--,M,41.2,R,17.0, \n",
        {"2026-01-02": (1.5, 15.9, 38.1), "2026-01-03": (None, 17.0, None)}),
    "gauge network": File(
        "ObservationDate,ObservationTime,StationNumber,StationName,TotalPrecipAmt,NewSnowDepth\n"
        "2026-03-02, 07:00 AM, XX-1, Tern 1 N, 0.10, 0.0\n2026-03-03, 07:00 AM, XX-1, Tern 1 N, T, NA\n"
        "2026-03-04, 07:00 AM, XX-1, Tern 1 N, NA, NA\n", {"2026-03-02": (2.54, None, None),
                                                          "2026-03-03": (0.0, None, None)}),
    "gauge network, two stations": File(
        "ObservationDate,ObservationTime,StationNumber,StationName,TotalPrecipAmt\n"
        "2026-03-02, 07:00 AM, XX-1, Tern 1 N, 0.10\n2026-03-02, 07:00 AM, XX-2, Tern 2 N, 0.30\n",
        {"2026-03-02": (7.62, None, None)}, ask=("station", "XX-2")),
    "bureau rain": File(
        "Product code,Bureau of Meteorology station number,Year,Month,Day,Rainfall amount (millimetres),"
        "Period over which rainfall was measured (days),Quality\nIDC,066,2026,01,01,2.4,1,N\nIDC,066,2026,01,02,,,\n"
        "IDC,066,2026,01,04,18.0,3,Y\n", {"2026-01-01": (2.4, None, None)}),
    "bureau highest": File(
        "Product code,Bureau of Meteorology station number,Year,Month,Day,Maximum temperature (Degree C),"
        "Days of accumulation of maximum temperature,Quality\nIDC,066,2026,01,01,30.5,1,Y\n",
        {"2026-01-01": (None, None, 30.5)}),
    "semicolons and eor": File(
        "STATIONS_ID;MESS_DATUM;QN_4; RSK;RSKF; TMK; TXK; TNK;eor\n 77;20260201;  1; 19.8;  1; 15.6; 19.6; 10.0;eor\n"
        " 77;20260202;  1;-999;-999; 17.4; 22.5; -999;eor\n",
        {"2026-02-01": (19.8, 10.0, 19.6), "2026-02-02": (None, None, 22.5)}),
    "badc": File(
        "Conventions,G,BADC-CSV,1\nlong_name,max_air_temp,maximum air temperature,degC\n"
        "long_name,min_air_temp,minimum air temperature,degC\ndata\n"
        "ob_end_time,id,src_id,ob_hour_count,max_air_temp,max_air_temp_q,min_air_temp,min_air_temp_q\n"
        "2026-01-01 09:00:00,1,7,24,15.5,0,8.2,0\n2026-01-01 21:00:00,1,7,12,12.0,0,6.0,0\n"
        "2026-01-02 09:00:00,1,7,12,9.0,0,4.8,0\n2026-01-03 09:00:00,1,7,12,9.0,0,NA,0\nend data\n",
        {"2026-01-01": (None, 8.2, 15.5), "2026-01-02": (None, 4.8, 12.0)}),
    "knmi": File(
        "# TN  = Minimum temperature (in 0.1 degrees Celsius)\n# TX  = Maximum (in 0.1 degrees Celsius)\n"
        "# RH  = Daily precipitation amount (in 0.1 mm) (-1 for <0.05 mm)\n# STN,YYYYMMDD,   TN,   TX,   RH\n"
        "  260,20260101,   31,   88,   -1\n  260,20260102,  -55,     ,  127\n",
        {"2026-01-01": (0.0, 3.1, 8.8), "2026-01-02": (12.7, -5.5, None)}),
    "knmi without its notes": File(
        "# STN,YYYYMMDD,   TN,   TX,   RH\n  260,20260101,   31,   58,   12\n", {"2026-01-01": (1.2, 3.1, 5.8)},
        ask=("units", "tenths")),
    "doubtful by quality": File(
        "NUM_POSTE;NOM_USUEL;LAT;AAAAMMJJ;RR;QRR;TN;QTN;TX;QTX\n64;TERN;43;20260115;0.2;1;5.6;1;14.5;1\n"
        "64;TERN;43;20260116;3.4;2;4.1;1;;\n", {"2026-01-15": (0.2, 5.6, 14.5), "2026-01-16": (None, 4.1, None)}),
    "flags in pairs": File(
        '\ufeff"Station Name","Climate ID","Date/Time","Max Temp (°C)","Max Temp Flag","Min Temp (°C)",'
        '"Min Temp Flag","Total Rain (mm)","Total Rain Flag","Total Precip (mm)","Total Precip Flag"\n'
        '"TERN","61","2026-01-01","-4.3","E","-8.8","","9.0","","0.0","T"\n'
        '"TERN","61","2026-01-02","-1.0","","","M","9.0","","12.0","C"\n',
        {"2026-01-01": (0.0, -8.8, -4.3), "2026-01-02": (None, None, -1.0)}),
    "the day ends at 12 UTC": File(
        "Time series\nDay definition: 24 hours ending at 1200 UTC on the day shown\n"
        "Date,ppt (inches),tmin (degrees F),tmax (degrees F)\n2026-01-01,0.10,41.0,59.0\n",
        {"2026-01-01": (2.54, 5.0, 15.0)}),
    "the hour that comes twice": File(
        "local_time,temp_c,rain_mm\n" + hours("2026-11-01", 2, rain={1: "0.1"}) +
        hours("2026-11-01", 23, first=1, rain={1: "0.2"}), {"2026-11-01": (0.3, 10.0, 21.0)}),
    "the hour that is left out": File(
        "local_time,temp_c,rain_mm\n" + hours("2026-03-08", 2) + hours("2026-03-08", 21, first=3, rain={3: "0.4"}),
        {"2026-03-08": (0.4, 10.0, 21.0)}),
    "hours of UTC": File(
        "time_utc,temp_c,rain_mm\n" + hours("2026-01-01", 16, first=8, rain={8: "5"}) +
        hours("2026-01-02", 9, rain={8: "0.5", 3: "0.1"}), {"2026-01-01": (0.6, 10.0, 21.0)}),
    "too few hours": File("time,precipitation (mm)\n2026-06-01T00:00,0.5\n2026-06-01T01:00,0.5\n", {},
                          refused="20 hours"),
    "a day's total so far": File(
        "time,rain (mm)\n" + "".join(f"2026-06-01T{hour:02}:30,{min(hour, 8) / 4}\n" for hour in range(24)),
        {"2026-06-01": (2.0, None, None)}, ask=("format", "running")),
    "words for missing": File("date,rain_mm,tmin_c,tmax_c\n2026-06-01,M,--,22\n2026-06-02,NaN,11,N/A\n", {
        "2026-06-01": (None, None, 22.0), "2026-06-02": (None, 11.0, None)}),
    "nines": File("date,rain_in,tmin_f,tmax_f\n2026-06-01,99.99,50,68\n2026-06-02,0.00,-99,9999.9\n", {
        "2026-06-01": (None, 10.0, 20.0), "2026-06-02": (0.0, None, None)}),
    "quarrelling twins": File("date,rain_mm\n2026-06-01,1.0\n2026-06-01,1.0\n2026-06-02,2\n2026-06-02,5\n", {},
                              refused="line 5: 2026-06-02 stands already in line 4"),
    "units change in the middle": File(
        "date,tmin_c,tmax_c\n2026-06-01,10,22\n2026-06-02,52,74\n", {}, refused="line 3: tmin_c: “52”"),
    "days or months": File("date,rain_mm\n06/01/2026,0\n06/02/2026,3\n", {
        "2026-06-01": (0.0, None, None), "2026-06-02": (3.0, None, None)}, ask=("format", "mdy")),
    "days and not months": File("date,rain_mm\n13/06/2026,0.5\n06/06/2026,3\n", {
        "2026-06-13": (0.5, None, None), "2026-06-06": (3.0, None, None)}),
    "decimal commas": File("Datum;Regen_mm;Tmin_C;Tmax_C\n01.06.2026;0,25;10,5;22,1\n", {
        "2026-06-01": (0.25, 10.5, 22.1)}),
    "a comma in doubt": File('date,rain_mm\n2026-06-01,"1,200"\n', {}, refused="a thousand or a fraction"),
    "a page": File("<!DOCTYPE html>\n<html><head><title>503 Service Unavailable</title></head></html>\n", {},
                   refused="web page"),
    "json": File('{"daily": {"rain": [1]}}\n', {}, refused="JSON"),
    "tenths in the title": File("date,precip (0.1 mm),rain_note,tmin_c\n2026-06-01,127,9,10\n", {
        "2026-06-01": (12.7, 10.0, None)}),
    "tenths in words": File("date,rain_tenths_mm\n2026-06-01,127\n", {"2026-06-01": (12.7, None, None)}),
    "hundredths in words": File("date,rain_hundredths_in\n2026-06-01,33\n", {"2026-06-01": (8.382, None, None)},
                                ask=("units", "us")),
    "wind, cloud, humidity and soil": File(
        "date,rain_mm,High wind (mph),Low cloud (oktas),max humidity (%),soil temp max (C),dew point min (C)\n"
        "2026-06-01,0,22,7,88,31,4\n", {"2026-06-01": (0.0, None, None)}),
    "a rate": File("date,max rain rate (mm)\n2026-06-01,40\n", {}, refused="rate"),
    "mm an hour": File("date,rain (mm/h)\n2026-06-01,40\n", {}, refused="rate"),
    "a unit that nobody knows": File("date,rain_um\n2026-06-01,1200\n", {}, refused="no unit that is known"),
    "tips": File("time,tips\n2026-03-02 01:12:05,1\n2026-03-02 14:03:10,2\n2026-03-03 05:00:00,1\n", {
        "2026-03-02": (0.6, None, None), "2026-03-03": (0.2, None, None)}, ask=("units", "0.2mm")),
    "a counter that begins again": File(
        "time,counter\n2026-03-01 23:55:00,1040\n2026-03-02 06:00:00,1043\n2026-03-03 00:00:00,1050\n"
        "2026-03-03 04:00:00,2\n2026-03-03 12:00:00,5\n2026-03-06 12:00:00,9\n", {
            "2026-03-02": (2.54, None, None)}, ask=("units", "0.01in")),
    "a quality of each row": File("date,rain_mm,tmax_c,quality\n2026-06-01,1,20,ok\n2026-06-02,9,60,bad\n", {
        "2026-06-01": (1.0, None, 20.0)}),
    "a flag of each figure": File("date,rain_mm,rain_flag,tmax_c,tmax_flag\n2026-6-1,9,suspect,20,\n", {
        "2026-06-01": (None, None, 20.0)}),
    "sums of months on their first day": File(
        "date,rain_mm\n2026-01-01,64\n2026-02-01,80\n2026-03-01,33\n", {}, refused="a month apart"),
    "sums of weeks": File("date,rain_mm\n2026-01-03,64\n2026-01-10,8\n2026-01-17,33\n", {}, refused="7 days apart"),
    "a logger's own titles": File(
        "Date & Time,Temp - °F,Hi Temp - °F,Low Temp - °F,Rain - in,High Rain Rate - in/h,Wind Speed - mph\n" +
        "".join(f"6/{day}/2026 {hour % 12 or 12}:00 {'PM' if hour > 11 else 'AM'},60,61,59,"
                f"{0.1 if hour == 5 else 0},2,9\n" for day in (13, 14) for hour in range(24)), {
            "2026-06-13": (2.54, 15.0, 16.1111), "2026-06-14": (2.54, 15.0, 16.1111)}),
    "a daily total by the hour": File(
        "time,Daily Rain (mm),temp (C)\n" + "".join(
            f"2026-06-01 {hour:02}:30,{2 if hour < 3 else 0 if hour < 20 else 1},15\n" for hour in range(24)),
        {"2026-06-01": (2.0, 15.0, 15.0)}, ask=("format", "running")),
    "dry in every unit": File("DATE,PRCP\n2026-06-01,0\n2026-06-02,0.00\n", {
        "2026-06-01": (0.0, None, None), "2026-06-02": (0.0, None, None)}),
}
