"""Temperature logs: simulated ones with known truth, files as people have them, broken ones, and the case file."""

from __future__ import annotations

import json
import sys
from typing import get_args

import numpy as np
import pandas as pd
import pytest
import trend_logs as logs
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from trend_logs import World, pulse, ramp, runaway, simulate, step

from diag import answers, knowledgebase
from diag.case import from_data, read_case
from diag.cli import main
from diag.errors import InputError
from diag.trend import Trend, analyse, into_case, read_log
from diag.trend import answers as answers_of
from diag.trend.grid import felt
from diag.trend.result import Verdict
from diag.trend.stamps import read_times
from diag.trend.verdict import Rules

ALL = ("temperature", "surroundings", "load")
ALL_HEADERS = ("bearing °C", "ambient °C", "motor load %")
AT = "2024-03-26 06:00"  # 24 h after the start of each simulated log


def found(raw: bytes, event: str = AT, column: str = "") -> Trend:
    return analyse(read_log(raw, "fan.csv", event, column), knowledgebase.load())


def of(world: World, event: str = AT, columns: tuple[str, ...] = ("temperature",), **form: object) -> Trend:
    headers = ALL_HEADERS if columns == ALL else ("bearing °C",)
    return found(logs.text(simulate(world), columns, headers=headers, **form), event)


# ---------------------------------------------------------------- what it does after greasing

@pytest.mark.parametrize(("world", "verdict"), [
    (World(heat=pulse(25, 8)), "settled"),
    (World(heat=pulse(25, 30), hours=90), "settled_late"),
    (World(heat=pulse(25, 8), hours=34), "falling"),
    (World(heat=step(15), hours=36), "level"),
    (World(heat=step(15), hours=72), "stays"),
    (World(heat=ramp(2), hours=34), "climbs_on"),
    (World(heat=runaway(3, 3), hours=36), "runs_away"),
    (World(heat=step(15), hours=26), "too_early"),
    (World(heat=ramp(2), hours=27), "too_early"),
    (World(), "no_rise"),
])
def test_the_course_after_a_known_greasing_is_named(world: World, verdict: str) -> None:
    assert of(world).verdict == verdict


@pytest.mark.parametrize(("world", "verdict"), [
    (World(heat=pulse(25, 8)), "settled"),
    (World(heat=step(15)), "stays"),
    (World(heat=pulse(25, 8), weather=6), "settled"),
    (World(heat=ramp(2), hours=34), "climbs_on"),
])
def test_a_greasing_nobody_noted_is_found_and_said_to_be_found(world: World, verdict: str) -> None:
    trend = of(world, event="")
    assert trend.verdict == verdict
    assert trend.event is not None and not trend.event.known
    assert "nobody said so" in trend.event.words


@pytest.mark.parametrize("seed", range(4))
def test_the_moment_of_a_step_is_found_within_a_quarter_of_an_hour(seed: int) -> None:
    trend = of(World(heat=step(15), seed=seed, weather=4), event="")
    assert trend.event is not None and trend.event.at_h == pytest.approx(24, abs=0.25)


@pytest.mark.parametrize("columns", [("temperature",), ALL])
def test_a_start_from_cold_is_no_greasing(knowledge, columns: tuple[str, ...]) -> None:
    trend = of(World(heat=step(35), base=22), event="", columns=columns)
    assert trend.verdict == "started"
    assert answers_of(trend, knowledge) == ()
    filled, _ = into_case(from_data({"point": {"kind": "rolling_bearing"}}, "x", knowledge), trend, knowledge)
    assert (filled.point.usual_temperature, filled.measured, filled.seen) == (None, {}, {})
    assert filled.point.running_temperature == pytest.approx(57, abs=0.5)


@pytest.mark.parametrize("world", [World(), World(weather=8), World(weather=6, load=0.5), World(noise=1.5)])
def test_weather_load_and_noise_are_no_event(world: World) -> None:
    columns = ALL if world.load else ("temperature",)
    trend = of(world, event="", columns=columns)
    assert (trend.event, trend.verdict) == (None, "steady")


def test_creeping_over_weeks_is_told_from_a_steady_point() -> None:
    creeping = of(World(heat=ramp(0.02), event=0, hours=24 * 15, step=0.5), event="")
    steady = of(World(hours=24 * 15, step=0.5, weather=6), event="")
    assert (creeping.verdict, steady.verdict) == ("creeps_up", "steady_for_weeks")
    assert creeping.drift is not None
    assert creeping.drift.low <= 0.48 <= creeping.drift.high


@pytest.mark.parametrize(("per_hour", "verdict"), [(0.15, "drifts_up"), (-0.15, "drifts_down")])
def test_a_drift_of_days_is_called_a_drift_and_answers_nothing(knowledge, per_hour: float, verdict: str) -> None:
    trend = of(World(heat=ramp(per_hour), event=0, hours=72), event="")
    assert trend.verdict == verdict
    assert trend.drift is not None
    assert trend.drift.value == pytest.approx(24 * per_hour, rel=0.15)
    assert answers_of(trend, knowledge) == ()


# ---------------------------------------------------------------- numbers against the truth

@pytest.mark.parametrize(("heat", "tau"), [(step(15), 0.7), (step(15), 2.5), (pulse(30, 9), 1.2)])
def test_the_time_constant_lies_in_its_interval_for_most_seeds(heat: object, tau: float) -> None:
    hits = 0
    for seed in range(14):
        trend = of(World(heat=heat, tau=tau, seed=seed, hours=54, noise=0.5))
        assert trend.time_constant is not None
        assert trend.time_constant.value == pytest.approx(tau, rel=0.2)
        hits += trend.time_constant.low <= tau <= trend.time_constant.high
    assert hits >= 11  # of 14; with 95 % intervals fewer has a chance under one in 200


def test_the_fall_of_a_pulse_and_the_rise_come_out() -> None:
    trend = of(World(heat=pulse(30, 9), tau=1.2))
    assert trend.fall_constant is not None
    assert trend.fall_constant.low * 0.98 <= 9 <= trend.fall_constant.high * 1.02
    u = np.linspace(0, 30, 3001)
    truth = 30 * 9 / (9 - 1.2) * (np.exp(-u / 9) - np.exp(-u / 1.2))
    assert trend.highest_rise == pytest.approx(truth.max(), abs=1)
    assert trend.baseline == pytest.approx(55, abs=0.2)


def test_load_and_surroundings_are_taken_out_of_the_time_constant() -> None:
    trend = of(World(heat=step(15), weather=8, load=0.4), columns=ALL)
    assert trend.time_constant is not None
    assert trend.time_constant.value == pytest.approx(1.2, rel=0.08)
    assert trend.load_swing == pytest.approx(0.4 * 20, abs=1)
    assert trend.surroundings_swing == pytest.approx(2 * 8 * 0.95, abs=1.5)
    assert trend.rise_now == pytest.approx(15, abs=0.7)


def test_the_daily_swing_is_found_where_the_surroundings_were_not_logged() -> None:
    trend = of(World(heat=step(15), weather=6))
    assert trend.daily_swing == pytest.approx(2 * 6 * 0.95, abs=1.5)
    assert trend.rise_now == pytest.approx(15, abs=1)


def test_over_surroundings_counts_before_and_now() -> None:
    trend = of(World(heat=step(15)), columns=ALL)
    assert trend.over_surroundings_before == pytest.approx(35, abs=0.3)
    assert trend.over_surroundings == pytest.approx(50, abs=0.3)


def test_the_thermal_lag_is_the_exact_first_order_response() -> None:
    response = felt(np.r_[np.zeros(1), np.ones(200)], 0.05, 1.0)
    hours = 0.05 * np.arange(201)
    assert response[20:] == pytest.approx(1 - np.exp(-(hours[20:] - 0.025)), abs=1e-3)


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(height=st.floats(6, 25), tau=st.floats(0.4, 2.5), seed=st.integers(0, 99))
def test_the_unit_of_the_file_changes_nothing(height: float, tau: float, seed: int) -> None:
    frame = simulate(World(heat=step(height), tau=tau, seed=seed, hours=40, step=0.2))
    celsius = found(logs.text(frame, digits=6))
    fahrenheit = found(logs.text(frame, digits=6, fahrenheit=True, headers=("bearing temperature °F",)))
    assert celsius.verdict == fahrenheit.verdict
    assert celsius.rise_now == pytest.approx(fahrenheit.rise_now, abs=1e-3)
    assert celsius.time_constant is not None and fahrenheit.time_constant is not None
    assert celsius.time_constant.value == pytest.approx(fahrenheit.time_constant.value, rel=1e-2)


# ---------------------------------------------------------------- files as people have them

FORMS = {
    "iso": {}, "iso with T": {"form": "%Y-%m-%dT%H:%M:%S"}, "zone": {"form": "%Y-%m-%dT%H:%M:%SZ"},
    "german": {"form": "%d.%m.%Y %H:%M", "separator": ";", "comma": True, "time_header": "Datum"},
    "british": {"form": "%d/%m/%Y %H:%M"}, "american": {"form": "%m/%d/%Y %I:%M:%S %p"},
    "short year": {"form": "%d.%m.%y %H:%M:%S", "separator": "\t"}, "month name": {"form": "%d %b %Y %H:%M"},
    "date and time apart": {"form": "%Y-%m-%d,%H:%M", "time_header": "date,time"},
    "bars": {"separator": "|"}, "fahrenheit": {"fahrenheit": True, "headers": ("bearing (F)",)},
    "unit in each cell": {"headers": ("bearing",)}, "kelvin": {"headers": ("bearing K",)},
}


@pytest.mark.parametrize("name", FORMS)
def test_one_log_in_many_forms_gives_one_result(name: str) -> None:
    frame = simulate(World(heat=step(15), hours=40, resolution=0.01))
    reference = found(logs.text(frame))
    if name == "kelvin":
        frame["temperature"] += 273.15
    raw = logs.text(frame, **FORMS[name])
    if name == "unit in each cell":
        raw = b"\n".join([raw.splitlines()[0], *(line + " °C".encode() for line in raw.splitlines()[1:])])
    trend = found(raw)
    assert trend.verdict == reference.verdict
    assert trend.rise_now == pytest.approx(reference.rise_now, abs=0.05)
    assert trend.start == "2024-03-25 06:00"


@pytest.mark.parametrize(("header", "factor"), [("hours", 1), ("elapsed min", 60), ("seconds", 3600), ("t (h)", 1)])
def test_elapsed_times_need_only_their_unit(header: str, factor: float) -> None:
    frame = simulate(World(heat=step(15), hours=40))
    raw = logs.text(frame.assign(hours=frame["hours"] * factor), elapsed=True, time_header=header)
    trend = found(raw, event="24 h")
    assert (trend.verdict, trend.start) == ("level", None)
    assert trend.time_constant is not None and trend.time_constant.value == pytest.approx(1.2, rel=0.1)


def test_the_clock_alone_goes_past_midnight() -> None:
    times = read_times(["22:00", "23:30", "00:30", "", "02:00"], "time", "x.csv")
    assert [h for h in times.hours if h == h] == [22, 23.5, 24.5, 26]
    assert times.zero is None


def test_epochs_and_spreadsheet_days_are_dates() -> None:
    stamp = pd.Timestamp("2024-03-25 06:00")
    seconds = stamp.timestamp()
    for cells in ([str(seconds), str(seconds + 3600)], [str(1000 * seconds), str(1000 * seconds + 3.6e6)]):
        times = read_times(cells, "time", "x.csv")
        assert times.zero is not None and times.zero + pd.Timedelta(hours=times.hours[0]) == stamp
        assert times.hours[1] - times.hours[0] == pytest.approx(1)
    days = read_times(["45376.25", "45376.5"], "date", "x.csv")
    assert days.zero is not None and days.zero + pd.Timedelta(hours=days.hours[0]) == stamp


def test_day_and_month_are_told_by_the_steps_else_the_doubt_is_stated() -> None:
    frame = simulate(World(heat=step(15), hours=60))
    months = logs.text(frame, form="%m/%d/%Y %H:%M", start="2024-03-05 06:00")
    told = found(months, event="2024-03-06 06:00")
    assert told.start == "2024-03-05 06:00"
    assert any("month first" in note for note in told.notes)
    one_day = simulate(World(heat=step(15), event=6, hours=14, step=0.05))
    doubtful = found(logs.text(one_day, form="%d/%m/%Y %H:%M", start="2024-03-05 06:00"), event="12:00")
    assert any("day and month could be exchanged" in note for note in doubtful.notes)


def test_units_are_told_by_plausibility_and_that_is_stated() -> None:
    frame = simulate(World(heat=step(15), base=75))
    trend = found(logs.text(frame, fahrenheit=True, headers=("bearing",)))
    column = next(c for c in trend.columns if c.role == "temperature")
    assert column.unit == "°F" and "too hot in °C" in column.how
    assert trend.baseline == pytest.approx(75, abs=0.5)


def test_lines_above_the_header_and_other_columns_are_passed_over() -> None:
    raw = logs.text(simulate(World(heat=step(15))), ("temperature", "load"), headers=("drive end °C", "remark"))
    trend = found(b"Logger 7\nsite;brickworks\n\n" + raw)
    roles = {c.name: c.role for c in trend.columns}
    assert roles == {"time": "time", "drive end °C": "temperature", "remark": "ignored"}


def test_of_several_temperatures_the_one_asked_for_counts() -> None:
    frame = simulate(World(heat=step(15)))
    frame["surroundings"] = 40.0 + 0.1 * (np.arange(len(frame)) % 3)
    raw = logs.text(frame, ("temperature", "surroundings"), headers=("bearing A °C", "bearing B °C"))
    assert found(raw).verdict == "stays"
    assert found(raw, column="bearing b °c").verdict == "no_rise"


# ---------------------------------------------------------------- sensors and loggers at fault

def test_gaps_dead_and_stuck_sensors_and_spikes_are_found_and_change_little() -> None:
    world = World(heat=pulse(25, 8), drop=((5, 8), (40, 41)))
    frame = simulate(world)
    hours = frame["hours"]
    frame.loc[(hours > 10) & (hours < 11), "temperature"] = 0.0
    frame.loc[(hours > 14) & (hours < 20), "temperature"] = 55.3
    frame.loc[frame.index[[20, 300]], "temperature"] = [140.0, 12.0]
    trend, clean = found(logs.text(frame)), of(World(heat=pulse(25, 8)))
    kinds = [t.kind for t in trend.troubles]
    assert kinds.count("gap") == 2
    assert {"drop_out", "flat_line", "spikes"} <= set(kinds)
    assert trend.verdict == clean.verdict
    assert trend.time_constant is not None and clean.time_constant is not None
    assert trend.time_constant.value == pytest.approx(clean.time_constant.value, rel=0.1)
    assert trend.highest < 85


def test_a_dead_sensor_in_fahrenheit_reads_zero_fahrenheit() -> None:
    raw = logs.text(simulate(World(heat=step(15))), fahrenheit=True, headers=("bearing °F",)).decode().splitlines()
    raw[50:60] = [line.split(",")[0] + ",0.00" for line in raw[50:60]]
    trend = found("\n".join(raw).encode())
    assert [(t.kind, t.readings) for t in trend.troubles] == [("drop_out", 10)]


def test_a_steady_point_on_a_coarse_sensor_is_not_stuck() -> None:
    trend = of(World(noise=0.05, resolution=1.0), event="")
    assert trend.troubles == ()
    assert trend.verdict == "steady"


def test_rows_out_of_order_and_twice_are_sorted_and_said() -> None:
    lines = logs.text(simulate(World(heat=step(15)))).splitlines()
    mixed = b"\n".join([lines[0], *lines[300:], *lines[1:305]])
    trend = found(mixed)
    assert trend.rise_now == pytest.approx(found(b"\n".join(lines)).rise_now)
    assert any("sorted" in note for note in trend.notes)
    assert any("averaged" in note for note in trend.notes)


def test_words_for_numbers_are_counted() -> None:
    lines = logs.text(simulate(World(heat=step(15)))).decode().splitlines()
    lines[10] = lines[10].split(",")[0] + ",ERR"
    lines[11] = lines[11].split(",")[0] + ","
    trend = found("\n".join(lines).encode())
    assert "1 without a temperature, 1 with words for a temperature (“ERR”)" in trend.troubles[0].words


BROKEN = {
    "empty": (b"  \n", "", "the file is empty"),
    "one column": (b"temperature\n1\n2\n3\n", "", "has one column only"),
    "binary": (b"a,b\n1,2\0\n", "", "is no text table"),
    "no numbers": (b"time,temperature\nnever,hot\nalways,cold\n", "", "no row holds a time and a number"),
    "short": (b"hours,temperature\n" + b"".join(b"%d,50\n" % k for k in range(9)), "", "holds 9 temperatures over 8 h"),
    "no unit of time": (b"t,bearing\n" + b"".join(b"%d,50\n" % k for k in range(40)), "", "name their unit"),
    "stamps": (b"time,bearing\n" + b"".join(b"week %d,50\n" % k for k in range(40)), "", "is no time stamp I know"),
    "half the stamps spoilt": (b"time,bearing\n" + b"".join(
        (b"2024-05-01 %02d:00,50\n" if k % 3 else b"2024-05-01 ~%02d:00,50\n") % (k % 24) for k in range(40)), "",
        "14 of 40 time stamps can't be read, the first is “2024-05-01 ~00:00”"),
    "no times": (b"bearing C,ambient C\n" + b"50,20\n" * 40, "", "no column of times"),
    "event outside": (logs.text(simulate(World(hours=30))), "2025-01-01 00:00", "is no moment inside the log"),
    "event twice": (logs.text(simulate(World())), "12:00", "the log meets 12:00 3 times"),
    "event words": (logs.text(simulate(World(hours=30))), "yesterday", "is no moment inside the log"),
    "ragged": (b"hours;bearing\n" + b"".join(b"%d;50;1;2\n" % k if k % 3 else b"%d;50\n" % k for k in range(9))
               + b"9;50\n" * 30, "", "has more cells than the 2 columns"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_log_gives_one_line_that_says_what_is_wrong(name: str) -> None:
    raw, event, words = BROKEN[name]
    with pytest.raises(InputError, match=words):
        found(raw, event)


def test_a_column_that_is_not_there_names_those_that_are() -> None:
    with pytest.raises(InputError, match="no column “north”; columns: time, bearing temperature °C"):
        found(logs.text(simulate(World(hours=30))), column="north")


# ---------------------------------------------------------------- into answers and the case

def test_every_verdict_has_known_signs_and_sources(knowledge) -> None:
    table = knowledge.standard("trend_signs")
    assert set(table["verdicts"]) == set(get_args(Verdict)) | {"follows_load", "follows_surroundings"}
    for entry in table["verdicts"].values():
        assert set(entry["signs"]) <= set(knowledge.signs)
        assert set(entry["signs"].values()) <= {"yes", "probably", "probably_not", "no"}
        assert set(entry["source"]) <= set(knowledge.sources) | {"practice", "memory"}
    assert set(table["thresholds"]) == {name for name in Rules.__annotations__ if name != "back_by_h"}


def test_answers_carry_the_origin_and_an_event_found_makes_them_weaker(knowledge) -> None:
    world = World(heat=ramp(2), hours=34)
    known = {a.sign: a for a in answers_of(of(world), knowledge)}
    guessed = {a.sign: a for a in answers_of(of(world, event=""), knowledge)}
    assert known["climbing_after_hours"].degree == "yes"
    assert guessed["climbing_after_hours"].degree == "probably"
    assert {a.origin for a in known.values()} == {"trend"}
    held = answers.collect(from_data({"point": {"kind": "rolling_bearing"}}, "x", knowledge), knowledge, known.values())
    assert held.positive("climbing_after_hours")


def test_a_load_that_moves_the_heat_is_an_answer_and_weather_is_none(knowledge) -> None:
    loaded = of(World(load=0.7), event="", columns=ALL)
    weather = of(World(weather=10), event="", columns=ALL)
    assert [a.sign for a in answers_of(loaded, knowledge)] == ["heat_follows_load"]
    assert answers_of(weather, knowledge) == ()


def test_the_case_gets_what_the_person_left_open_and_nothing_else(knowledge) -> None:
    trend = of(World(heat=pulse(25, 8), hours=34))
    bare = from_data({"point": {"kind": "rolling_bearing"}}, "x", knowledge)
    filled, _ = into_case(bare, trend, knowledge)
    assert filled.seen == {"rise_levelled_and_falls": "yes", "climbing_after_hours": "no"}
    assert filled.point.usual_temperature == pytest.approx(55, abs=0.3)
    assert filled.measured["temperature_rise"] == pytest.approx(trend.rise_now, abs=0.06)
    assert filled.regreasing.since_last == pytest.approx(10, abs=0.2)
    assert into_case(filled, trend, knowledge)[0] == filled


def test_what_the_person_said_stands(knowledge) -> None:
    trend = of(World(heat=pulse(25, 8), hours=34))
    said = from_data({"point": {"kind": "rolling_bearing", "usual_temperature": 50},
                      "seen": {"stepped_up_and_stayed": "yes"}, "regreasing": {"since_last": 3}}, "x", knowledge)
    merged, words = into_case(said, trend, knowledge)
    assert merged.seen == said.seen
    assert (merged.point.usual_temperature, merged.regreasing.since_last) == (50, 3)
    assert "temperature_rise" not in merged.measured
    assert any("left, since you said stepped_up_and_stayed" in line for line in words)


def test_a_sign_that_means_stop_is_not_held_back_by_another_choice(knowledge) -> None:
    said = from_data({"point": {"kind": "rolling_bearing"}, "seen": {"stepped_up_and_stayed": "yes"}}, "x", knowledge)
    merged, _ = into_case(said, of(World(heat=ramp(2), hours=34)), knowledge)
    assert merged.seen == {"stepped_up_and_stayed": "yes", "climbing_after_hours": "yes"}
    denied = from_data({"point": {"kind": "rolling_bearing"}, "seen": {"climbing_after_hours": "no"}}, "x", knowledge)
    assert into_case(denied, of(World(heat=ramp(2), hours=34)), knowledge)[0].seen["climbing_after_hours"] == "no"


# ---------------------------------------------------------------- the command

@pytest.fixture
def climbing(tmp_path):
    path = tmp_path / "fan.csv"
    path.write_bytes(logs.text(simulate(World(heat=ramp(2), hours=34))))
    return path


def test_the_command_prints_page_and_json_of_the_same_facts(climbing, capsys) -> None:
    assert main(["trend", str(climbing), "--event", AT]) == 0
    page = capsys.readouterr().out
    assert "No. Stop it now" in page and "still climbs 10 h after the event" in page
    assert max(map(len, page.splitlines())) <= 80
    assert main(["trend", str(climbing), "--event", AT, "--units", "us"]) == 0
    us = capsys.readouterr().out
    assert "131 °F" in us and "°F an hour" in us
    assert main(["trend", str(climbing), "--event", AT, "--json"]) == 0
    facts = json.loads(capsys.readouterr().out)
    assert (facts["schema"], facts["verdict"], facts["urgency"]["level"]) == (1, "climbs_on", "stop_now")
    assert facts["answers"][0]["origin"] == "trend"


def test_a_long_time_constant_is_told_without_an_exponent(tmp_path, capsys) -> None:
    noise = np.random.default_rng(3).normal(0, 0.3, 216)  # a straight climb: as if the time constant were endless
    rows = [f"{n / 6:.4f},{60 + 1.5 * max(0, n / 6 - 24) + e:.2f}" for n, e in enumerate(noise)]
    (tmp_path / "fan.csv").write_text("\n".join(["time (h),bearing (°C)", *rows]), encoding="utf-8")
    assert main(["trend", str(tmp_path / "fan.csv"), "--event", "24"]) == 0
    (line,) = [line for line in capsys.readouterr().out.splitlines() if "time constant" in line]
    hours = float(line.split("time constant ")[1].split(" h")[0].replace(",", ""))
    assert hours > 100 and "e+" not in line


def test_a_rise_that_settles_may_run_on(tmp_path, capsys) -> None:
    path = tmp_path / "fan.csv"
    path.write_bytes(logs.text(simulate(World(heat=pulse(25, 8)))))
    assert main(["trend", str(path), "--event", AT, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["urgency"]["level"] in ("run_on", "watch")


def test_into_writes_a_case_that_reads_back_and_keeps_the_old_one(climbing, tmp_path, capsys, knowledge) -> None:
    case = tmp_path / "fan.yaml"
    case.write_text("# a comment\npoint: {kind: rolling_bearing}\n", encoding="utf-8")
    assert main(["trend", str(climbing), "--event", AT, "--into", str(case)]) == 0
    assert "INTO THE CASE FILE" in capsys.readouterr().out
    assert read_case(case, knowledge).seen["climbing_after_hours"] == "yes"
    assert (tmp_path / "fan.yaml.before-trend").read_text(encoding="utf-8").startswith("# a comment")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["fan.csv", "fan.trend.json", "fan.yaml",
                                                              "fan.yaml.before-trend"]


def test_a_later_log_takes_the_place_of_an_earlier_one_and_never_of_the_person(tmp_path, capsys, knowledge) -> None:
    def logged(world: World, *more: str) -> dict[str, object]:
        (tmp_path / "fan.csv").write_bytes(logs.text(simulate(world)))
        assert main(["trend", str(tmp_path / "fan.csv"), "--event", AT, "--into", str(case), "--json", *more]) == 0
        return json.loads(capsys.readouterr().out)

    case = tmp_path / "fan.yaml"
    case.write_text("point: {kind: rolling_bearing}\nseen: {crept_up_over_weeks: no}\n", encoding="utf-8")
    logged(World(heat=pulse(25, 8), hours=34))
    early = read_case(case, knowledge)
    assert early.seen["climbing_after_hours"] == "no"
    assert logged(World(heat=ramp(2), hours=34))["urgency"]["level"] == "stop_now"
    late = read_case(case, knowledge)
    assert (late.seen["climbing_after_hours"], late.seen["crept_up_over_weeks"]) == ("yes", "no")
    assert late.point.running_temperature > early.point.running_temperature

    logged(World(heat=ramp(2), hours=25))  # an hour after the greasing: it tells nothing of a climb
    assert read_case(case, knowledge).seen["climbing_after_hours"] == "yes"
    logged(World(heat=pulse(25, 8), hours=34))
    assert read_case(case, knowledge) == early

    case.write_text(case.read_text("utf-8").replace("climbing_after_hours: no", "climbing_after_hours: probably_not"),
                    encoding="utf-8")  # now it is the person's
    assert any("left, since you said probably not" in w for w in logged(World(heat=ramp(2), hours=34))["written"])


def test_a_broken_note_of_an_earlier_log_is_one_line(climbing, tmp_path, capsys) -> None:
    case = tmp_path / "fan.yaml"
    case.write_text("point: {kind: rolling_bearing}\n", encoding="utf-8")
    (tmp_path / "fan.trend.json").write_text("{", encoding="utf-8")
    assert main(["trend", str(climbing), "--event", AT, "--into", str(case)]) == 2
    err = capsys.readouterr().err
    assert "fan.trend.json" in err and len(err.splitlines()) == 1
    assert case.read_text("utf-8") == "point: {kind: rolling_bearing}\n"


def test_the_plot_is_a_picture_in_grey(climbing, tmp_path) -> None:
    from matplotlib.image import imread

    target = tmp_path / "fan.png"
    assert main(["trend", str(climbing), "--event", AT, "--plot", str(target), "--json"]) == 0
    picture = imread(target)[..., :3]
    assert picture.shape[0] > 400 and picture.shape[1] > 800
    assert np.abs(picture - picture.mean(axis=2, keepdims=True)).max() < 0.02
    assert (picture.min(axis=2) < 0.2).mean() > 0.002


@pytest.mark.parametrize(("arguments", "words"), [
    (["nowhere.csv"], "there is no such file"),
    (["."], "is a folder"),
    (["{log}", "--plot", "fan.xyz"], "the plot can't be written"),
    (["{log}", "--into", "nowhere.yaml"], "nowhere.yaml"),
])
def test_what_cannot_be_done_is_one_line(arguments, words, climbing, tmp_path, capsys, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["trend", *(a.replace("{log}", str(climbing)) for a in arguments)]) == 2
    errors = capsys.readouterr().err
    assert words in errors and errors.count("\n") == 1


def test_without_the_extra_one_line_says_how_to_get_it(climbing, capsys, monkeypatch) -> None:
    monkeypatch.setitem(sys.modules, "pandas", None)
    monkeypatch.setattr("diag.extras.find_spec", lambda name: None if name == "pandas" else object())
    assert main(["trend", str(climbing)]) == 2
    assert "pip install 'diag[tables]'" in capsys.readouterr().err
