"""The weather command with real programs: killed, hanging, lying, endless, printing pages; once a day, whole or not."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from gwlog.app import run_command
from gwlog.app.run_command import CommandFailed
from gwlog.errors import BadInput, GwlogError
from gwlog.household import look
from gwlog.journal import reader, weather_runs
from gwlog.journal.facts import WeatherDay
from gwlog.journal.weather_runs import Runs
from gwlog.notify import watcher, weather_command
from gwlog.notify.settings_file import EXAMPLE, read_settings
from gwlog.notify.weather_command import WeatherCommand, slot_of
from gwlog.notify.weather_examples import GAUGE, SAVED_FILE
from tests.conftest import NOW, Runner

FINE = "date,rain_mm,tmin_c,tmax_c\n2026-07-12,1.5,12,27\n2026-07-13,0,13,28\n"
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


@pytest.fixture
def path(home: Runner, tmp_path: Path) -> Path:
    """The small household, with nothing measured."""
    return tmp_path / "logbook.db"


@pytest.fixture(autouse=True)
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """A moment is enough for a program to end, where one will not."""
    monkeypatch.setattr(run_command, "GRACE_S", 0.2)
    monkeypatch.setattr(run_command, "AFTERWARDS_S", 0.1)


def shell(words: str, **more: object) -> WeatherCommand:
    """A command whose program is a line of sh, which starts faster than Python."""
    return replace(WeatherCommand(("/bin/sh", "-c", words), limit_s=20), **more)  # type: ignore[arg-type]


def prints(words: str, **more: object) -> WeatherCommand:
    return shell(f"cat <<'END'\n{words}END\n", **more)


def days(path: Path) -> list[tuple[date, int | None, str | None]]:
    return [(fact.day, fact.rain_um, fact.forecast_made_at) for fact in reader.read(path)
            if isinstance(fact, WeatherDay)]


def test_a_whole_table_is_taken_and_once_more_changes_nothing(path: Path) -> None:
    weather_command.taken(path, prints(FINE), NOW)
    assert days(path) == [(date(2026, 7, 12), 1500, None), (date(2026, 7, 13), 0, None)]
    weather_command.taken(path, prints(FINE), NOW + HOUR)
    assert len(days(path)) == 2
    assert weather_runs.read(path) == Runs(last_run=NOW + HOUR, last_success=NOW + HOUR, taken="2 days known already")


REFUSED = [
    (shell("echo date,rain_mm; kill -9 $$"), "ended by signal 9"),
    (shell("echo date,rain_mm; echo 2026-07-13,1; echo no gauge >&2; exit 3"), "exit code 3.*no gauge"),
    (prints("<html><body>Please log in</body></html>\n"), "web page"),
    (prints("date,rain_mm\n"), "header and no day"),
    (shell("true"), "empty"),
    (prints("date,rain_mm\n2026-07-13,1\n2026-07-13,2\n"), "stands already in line 2"),
    (prints("date,rain_mm\n2026-07-12,1\n2026-07-13,soon\n"), "not a number"),
    (prints("date,rain,tmin,tmax\n2026-07-13,0.5,60,85\n"), "Say it under .weather."),
    (prints("date,rain_mm\n2026-07-13,1\n2027-07-13,1\n"), "ahead"),
    (shell("head -c 3000000 /dev/zero | tr '\\0' 'x'"), "more than 1 MB"),
    (WeatherCommand(("/nowhere/gauge",)), "cannot be started"),
    (WeatherCommand(("no-such-program-anywhere",)), "neither an absolute path"),
    (WeatherCommand(("./gauge.sh",)), "neither an absolute path"),
]


@pytest.mark.parametrize(("command", "said"), REFUSED)
def test_of_anything_else_nothing_is_taken(path: Path, command: WeatherCommand, said: str) -> None:
    with pytest.raises(CommandFailed, match=f"(?s){said}") as trouble:
        weather_command.taken(path, command, NOW)
    assert days(path) == []
    kept = weather_runs.read(path)
    assert kept.failures == 1 and kept.trouble == str(trouble.value)[:500] and kept.failing_since == NOW


def test_yesterday_twice_with_the_same_figures_is_one_day(path: Path) -> None:
    weather_command.taken(path, prints("date,rain_mm\n2026-07-13,1\n2026-07-13,1.0\n"), NOW)
    assert days(path) == [(date(2026, 7, 13), 1000, None)]


def alive(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state not in ("Z", "X")


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks at processes where Linux shows them")
@pytest.mark.parametrize(("words", "limit", "said"), [
    ("sleep 600", 1, "did not end within 1 s"),
    ("trap '' TERM; sleep 600 & echo $! > {pid}; while :; do sleep 600; done", 1, "did not end"),
    ("while :; do echo 2026-07-13,1; done", 100, "more than 1 MB"),
    ("echo date,rain_mm; echo 2026-07-13,1; sleep 600 & echo $! > {pid}", 100, "keeps its output open"),
    ("exec >&- 2>&-; sleep 600", 1, "did not end"),
])
def test_what_hangs_is_ended_with_all_that_it_started(path: Path, tmp_path: Path, words: str, limit: int, said: str
                                                      ) -> None:
    noted = tmp_path / "pid"
    with pytest.raises(CommandFailed, match=said):
        weather_command.taken(path, shell(words.replace("{pid}", str(noted)), limit_s=limit), NOW)
    assert days(path) == []
    if noted.exists() and noted.read_text():
        assert not alive(int(noted.read_text()))


def test_a_wish_to_stop_ends_it_and_is_no_failure(path: Path) -> None:
    import threading

    stopped = threading.Event()
    stopped.set()
    with pytest.raises(CommandFailed, match="was stopped"):
        weather_command.taken(path, shell("sleep 600"), NOW, stopped)
    assert weather_runs.read(path) == Runs()


def test_the_environment_is_small_and_said(path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GWLOG_CHANNEL_PHONE", "secret")
    monkeypatch.setenv("SSH_AUTH_SOCK", "secret")
    out = tmp_path / "out"
    command = shell(f"env > {out}; pwd >> {out}; umask >> {out}; cat; echo date,rain_mm; echo 2026-07-13,1",
                    environment={"GAUGE_FILE": "/tmp/tips"})
    weather_command.taken(path, command, NOW)
    lines = out.read_text().splitlines()
    got = dict(line.split("=", 1) for line in lines if "=" in line)
    assert {name for name in got if name not in ("PWD", "OLDPWD", "_", "SHLVL", "PATH", "HOME", "LANG")} == {
        "TZ", "GAUGE_FILE", "GWLOG_WEATHER_FROM", "GWLOG_WEATHER_TO", "GWLOG_WEATHER_LATITUDE", "GWLOG_WEATHER_UNITS"}
    assert (got["TZ"], got["GWLOG_WEATHER_LATITUDE"]) == ("America/Los_Angeles", "36.9")
    assert got["GWLOG_WEATHER_UNITS"] == "us"
    assert (got["GWLOG_WEATHER_FROM"], got["GWLOG_WEATHER_TO"]) == ("2026-05-15", "2026-07-30")
    folder, mask = lines[-2:]
    assert "gwlog-weather-" in folder and not Path(folder).exists() and mask.endswith("077")


def test_days_that_are_not_over_are_forecast_and_never_measured(path: Path) -> None:
    """A lying program that calls today and tomorrow measured: they count until they are over, and no longer."""
    weather_command.taken(path, prints("date,rain_mm\n2026-07-13,1\n2026-07-14,30\n2026-07-15,40\n"), NOW)
    said = "2026-07-14T18:00:00Z"
    assert days(path) == [(date(2026, 7, 13), 1000, None), (date(2026, 7, 14), 30000, said),
                          (date(2026, 7, 15), 40000, said)]
    sky = look(path, NOW).garden.sky
    assert sky.day(date(2026, 7, 15)).rain_mm == 40.0 and not sky.day(date(2026, 7, 15)).rain_measured
    later = look(path, NOW + 2 * DAY)
    assert later.garden.sky.day(date(2026, 7, 15)).rain_mm == later.garden.sky.usual(date(2026, 7, 15))[1]
    assert not any("was forecast" in problem.text for problem in later.problems), "measurements may still come"
    told = [problem.text for problem in look(path, NOW + 7 * DAY).problems if "was forecast" in problem.text]
    assert len(told) == 1 and "Tue, Jul 14, 2026 and 1 more" in told[0]
    weather_command.taken(path, prints("date,rain_mm\n2026-07-14,2\n2026-07-15,3\n"), NOW + 2 * DAY)
    after = look(path, NOW + 7 * DAY)
    assert after.garden.sky.day(date(2026, 7, 15)).rain_mm == 3.0
    assert not any("was forecast" in problem.text for problem in after.problems)


def test_a_forecast_keeps_the_moment_it_was_made(path: Path) -> None:
    words = "made_at,date,rain_mm\n2026-07-13T18:00-07:00,{}\n"
    weather_command.taken(path, prints(words.format("2026-07-16,4")), NOW)
    assert days(path) == [(date(2026, 7, 16), 4000, "2026-07-14T01:00:00Z")]
    weather_command.taken(path, prints(words.replace("13T18", "12T18").format("2026-07-16,9")), NOW + HOUR)
    assert len(days(path)) == 1, "an earlier forecast takes the place of no later one"
    late = weather_command.taken(path, prints(words.format("2026-07-13,9")), NOW + 2 * HOUR)
    assert late.found.elapsed == 1 and len(days(path)) == 1, "a forecast of a day that is over is never measured"


def test_only_one_runs_at_a_time(path: Path) -> None:
    with weather_runs.alone(path), pytest.raises(GwlogError, match=f"process {os.getpid()}"):
        weather_command.taken(path, prints(FINE), NOW)
    weather_command.taken(path, prints(FINE), NOW)


# --- once a day

def at(day: int, hour: float) -> datetime:
    return datetime(2026, 7, day, 7, tzinfo=UTC) + timedelta(hours=hour)   # 7:00 UTC is midnight in Los Angeles


def test_a_run_is_due_once_a_day_and_a_few_times_after_failures() -> None:
    slot, minute = at(14, 6), timedelta(minutes=1)
    assert not Runs().due(slot - minute, slot) and Runs().due(slot, slot) and Runs().due(slot + 9 * HOUR, slot)
    fine = Runs().succeeded(slot, "")
    assert not fine.due(slot + HOUR, slot) and fine.due(slot + DAY, slot + DAY)
    runs, now, waited = Runs(), slot, []
    for _ in range(4):
        runs = runs.failed(now, "no gauge")
        then = next((n for n in range(1, 240) if runs.due(now + n * minute, slot)), None)
        waited.append(then)
        now += (then or 0) * minute
    assert waited == [1, 5, 30, None]
    assert runs.due(slot + DAY, slot + DAY), "and the next day again"
    assert Runs().succeeded(slot + 400 * DAY, "").due(slot, slot), "a clock that was set back keeps nothing waiting"


@pytest.fixture
def settings(own_settings: Path) -> Callable[..., Path]:
    def put(words: str) -> Path:
        where = own_settings / "settings.toml"
        where.write_text(words, encoding="utf-8")
        where.chmod(0o600)
        return where
    return put


def program(tmp_path: Path, words: str) -> str:
    """A program whose runs are counted in the file `runs`."""
    where = tmp_path / "weather.sh"
    where.write_text(f"#!/bin/sh\necho x >> {tmp_path / 'runs'}\n{words}")
    where.chmod(0o700)
    return f'[weather]\ncommand = ["{where}"]\n'


def runs_of(tmp_path: Path) -> int:
    return len((tmp_path / "runs").read_text().split()) if (tmp_path / "runs").exists() else 0


def test_the_watcher_runs_it_once_a_day_from_its_hour_on(path: Path, tmp_path: Path, settings: Callable[..., Path],
                                                         frozen: Callable[[datetime], None]) -> None:
    settings(program(tmp_path, f"cat <<'END'\n{FINE}END\n"))
    said: list[str] = []
    ran = []
    for now in (at(14, 5.9), at(14, 6.3), at(14, 7), at(14, 23), at(15, 1), at(18, 12), at(18, 13)):
        frozen(now)
        watcher.once(path, said.append)
        ran.append(runs_of(tmp_path))
    assert ran == [0, 1, 1, 1, 1, 2, 2], "four days of sleep are made up for by one run"
    assert [words for words in said if "Weather command" in words] == ["Weather command: 2 days measured."]


def test_failures_are_said_once_and_told_to_everybody_after_two_days(
        path: Path, tmp_path: Path, settings: Callable[..., Path], frozen: Callable[[datetime], None],
        home: Runner) -> None:
    settings(program(tmp_path, "echo gauge unplugged >&2; exit 4\n"))
    said: list[str] = []
    for hour in (6.3, 6.5, 7, 8, 24 + 6.3, 24 + 6.5, 24 + 8, 48 + 6.3):
        frozen(at(14, hour))
        watcher.once(path, said.append)
    assert len([words for words in said if "gauge unplugged" in words]) == 1
    assert not any("weather command" in problem.text for problem in look(path, at(15, 12)).problems)
    (told,) = [problem for problem in look(path, at(16, 12)).problems if "weather command" in problem.text]
    assert "exit code 4" in told.text and "gauge unplugged" in told.text
    assert "weather run --dry-run" in str(told.way_out)
    assert days(path) == []


def test_trying_later_is_no_trouble(path: Path, tmp_path: Path, settings: Callable[..., Path],
                                    frozen: Callable[[datetime], None]) -> None:
    settings(program(tmp_path, "exit 75\n"))
    said: list[str] = []
    frozen(at(14, 7))
    assert watcher.once(path, said.append) == 0
    assert not any("weather" in words.casefold() for words in said)
    assert weather_runs.read(path).later


def test_a_watcher_at_work_runs_it(path: Path, tmp_path: Path, settings: Callable[..., Path],
                                   frozen: Callable[[datetime], None]) -> None:
    settings(program(tmp_path, f"cat <<'END'\n{FINE}END\n"))
    frozen(at(14, 7))
    at_work = watcher.Watcher(path, lambda _: None)
    at_work._read_files()
    at_work._zone = "America/Los_Angeles"
    at_work.weather()
    at_work.weather()
    assert runs_of(tmp_path) == 1 and len(days(path)) == 2


def test_settings_that_others_can_write_run_nothing(path: Path, tmp_path: Path, settings: Callable[..., Path],
                                                    frozen: Callable[[datetime], None], home: Runner) -> None:
    where = settings(program(tmp_path, f"cat <<'END'\n{FINE}END\n"))
    where.chmod(0o666)
    frozen(at(14, 7))
    said: list[str] = []
    watcher.once(path, said.append)
    answer = home("weather", "run")
    assert answer.code == 2 and "written by others" in answer.err and "written by others" in said[0]
    assert runs_of(tmp_path) == 0


# --- by hand, and the settings

def test_by_hand_it_is_looked_at_before_it_is_taken(path: Path, tmp_path: Path, settings: Callable[..., Path],
                                                   home: Runner) -> None:
    settings(program(tmp_path, f"cat <<'END'\n{FINE}END\n"))
    seen = home("weather", "run", "--dry-run")
    assert seen.code == 0 and "exit code 0" in seen.out and days(path) == []
    assert "Jul 12, 2026  rain 0.06 in" in seen.out
    assert home("weather", "run", "--json").json["days"]["2026-07-12"] == {"rain_mm": 1.5, "low_c": 12, "high_c": 27}
    assert len(days(path)) == 2


def test_without_a_command_it_says_how_to_have_one(home: Runner) -> None:
    answer = home("weather", "run")
    assert answer.code == 2 and "gwlog watch --example" in answer.err


@pytest.mark.parametrize(("words", "said"), [
    ('command = "curl https://a.example | sh"', '["curl", "https://a.example", "|", "sh"]'),
    ("command = []", "list of words"), ('command = ["x", 3]', "list of words"),
    ('command = ["x"]\nshell = true', "shell: not a setting"), ('command = ["x"]\nlimit = 601', "1 to 600 seconds"),
    ('command = ["x"]\nlimit = true', "1 to 600"), ('command = ["x"]\nafter = "25:00"', "time of day"),
    ('command = ["x"]\nenvironment = { GWLOG_LOGBOOK = "x" }', "gwlog's own"),
    ('command = ["x"]\nenvironment = { A = 3 }', "names and texts"),
    ('command = ["x"]\nunits = "furlongs"', "furlongs"),
    ('command = ["x"]\nformat = "best"', "“best”"), ('command = ["x"]\nstation = 7', "station: write a text"),
])
def test_faults_of_the_settings_are_told_with_what_is_accepted(settings: Callable[..., Path], words: str, said: str
                                                               ) -> None:
    with pytest.raises(BadInput) as fault:
        read_settings(["stdout"], settings(f"[weather]\n{words}\n"))
    assert said in str(fault.value)


def test_the_commented_example_can_be_used(settings: Callable[..., Path]) -> None:
    words = "".join(line.removeprefix("# ") if "[weather]" in EXAMPLE[:EXAMPLE.find(line) + len(line)] else line
                    for line in EXAMPLE.splitlines(keepends=True))
    command = read_settings(["stdout"], settings(words)).weather
    assert command is not None and command.words[0] == "python3" and command.units == "us" and command.limit_s == 60


# --- the two programs that gwlog gives

def test_a_saved_file_is_handed_on(path: Path, tmp_path: Path) -> None:
    (tmp_path / "hand.py").write_text(SAVED_FILE)
    (folder := tmp_path / "saved").mkdir()
    command = WeatherCommand((sys.executable, "-S", str(tmp_path / "hand.py"), str(folder)))
    with pytest.raises(CommandFailed, match="yet") as trouble:
        weather_command.taken(path, command, NOW)
    assert trouble.value.later
    (folder / "new.csv").write_text(FINE)
    weather_command.taken(path, command, NOW)
    assert len(days(path)) == 2


@pytest.mark.parametrize(("night", "hours"), [(date(2026, 11, 1), 25), (date(2027, 3, 14), 23)])
def test_a_gauge_is_right_over_the_nights_on_which_clocks_change(path: Path, tmp_path: Path, night: date, hours: int
                                                                 ) -> None:
    """A tip every half hour, read every half hour in UTC: a day of 25 hours has 50 of them, one of 23 hours 46."""
    (tmp_path / "gauge.py").write_text(GAUGE)
    begin = datetime.combine(night - 2 * DAY, datetime.min.time(), UTC)
    readings = [f"{begin + n * HOUR / 2:%Y-%m-%dT%H:%M:%SZ},{(n + 900) % 1000}" for n in range(200)]
    (tmp_path / "tips.csv").write_text("\n".join(readings) + "\n")
    command = WeatherCommand((sys.executable, "-S", str(tmp_path / "gauge.py"), str(tmp_path / "tips.csv")),
                             units="0.2mm")
    now = datetime.combine(night + DAY, datetime.min.time(), UTC) + 20 * HOUR
    weather_command.taken(path, command, now)
    weather_command.taken(path, command, now + HOUR)
    rain = {day: um for day, um, _ in days(path)}
    # the tip that made the counter begin again at 0 cannot be known
    assert rain[night] == pytest.approx(hours * 2 * 200, abs=200)
    assert len(days(path)) == len(rain), "once more changes nothing"
    assert night + DAY not in rain, "a day that is not over"


def test_the_run_of_the_day_comes_once_on_days_of_23_and_25_hours(path: Path) -> None:
    """From one slot to the next: 24 hours by the clock on the wall, whatever the clock does at night."""
    zone = "America/Los_Angeles"
    command = WeatherCommand(("x",))
    for noon in (datetime(2026, 10, 31, 20, tzinfo=UTC), datetime(2027, 3, 13, 20, tzinfo=UTC)):
        runs, made = Runs(), []
        for quarter in range(4 * 72):
            now = noon + quarter * HOUR / 4
            if runs.due(now, slot_of(path, command, now, zone)):
                runs = runs.succeeded(now, "")
                made.append(now.astimezone(UTC))
        assert len(made) == 4, "the first day at noon, and three mornings"
