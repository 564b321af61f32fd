"""Two small programs that a weather command can run: one hands on a saved file, one a rain gauge's readings.

They need Python alone and none of gwlog.
"""

from __future__ import annotations

SAVED_FILE = '''\
"""Hands on the newest weather file of a folder: python3 weather_from_file.py FOLDER ["*.csv"]"""
import sys
from pathlib import Path

folder, pattern = Path(sys.argv[1]).expanduser(), sys.argv[2] if len(sys.argv) > 2 else "*.csv"
files = sorted(folder.glob(pattern), key=lambda file: file.stat().st_mtime)
if not files:
    print(f"no {pattern} in {folder} yet", file=sys.stderr)
    sys.exit(75)   # try again later, without a warning
sys.stdout.buffer.write(files[-1].read_bytes())
'''

GAUGE = '''\
"""Hands on a rain gauge's readings: python3 weather_from_gauge.py FILE

FILE has a line for each reading, its time in UTC and how many tips were counted so far, like
2026-03-02T06:00:00Z,1043
Whatever reads the gauge adds them, at least every few hours; a counter that begins again at 0 is understood.
In settings.toml: units = "0.01in" or "0.2mm", what one tip holds.
"""
import os
import sys
from datetime import date, timedelta

begin = date.fromisoformat(os.environ["GWLOG_WEATHER_FROM"]) - timedelta(days=2)
print("time,counter")
for line in open(sys.argv[1]):
    time, _, count = line.strip().partition(",")
    if count and date.fromisoformat(time[:10]) >= begin:
        print(f"{time},{int(count)}")
'''

EXAMPLES = {"saved-file": ("weather_from_file.py", SAVED_FILE), "gauge": ("weather_from_gauge.py", GAUGE)}
"""By name: the file's name, and the program."""
