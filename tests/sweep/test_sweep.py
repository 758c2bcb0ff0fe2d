"""Runs against plans made alone; what is kept, taken over and never taken over; same bytes."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from bundler import tailed
from bundler.case import Case
from bundler.choice import Lives
from bundler.errors import BundlerError
from bundler.judge.verdict import Breach
from bundler.report.sweep import sweep_words
from bundler.run import plan_case
from bundler.solve.highs import Options
from bundler.sweep import one
from bundler.sweep.changes import Change, changed
from bundler.sweep.done import Done, done_of, text_of
from bundler.sweep.one import Job, run_one
from bundler.sweep.run import Asked, sweep
from bundler.sweep.variants import Variant
from bundler.sweep.workers import here, processes
from tests.cases import case, one_unit, table
from tests.sweep.asked import ASKED, BAD, CHEAP, EXACT, SHORT, made_up, texts


class Counting:
    """Makes runs here, counts them, and stops after so many."""

    def __init__(self, most: int = 1000) -> None:
        self.made: list[Job] = []
        self.most = most

    def runs(self, jobs: Sequence[Job]) -> Iterator[tuple[Job, Done]]:
        return here(jobs)

    def __call__(self, jobs: Sequence[Job]) -> Iterator[tuple[Job, Done]]:
        for job, done in self.runs(jobs):
            if len(self.made) == self.most:
                raise KeyboardInterrupt
            self.made.append(job)
            yield job, done


class Pretending(Counting):
    """Says of every run that it gave the same plan, and counts them."""

    def runs(self, jobs: Sequence[Job]) -> Iterator[tuple[Job, Done]]:
        return ((job, made_up(("PUMP-A", "replace", "P1"))) for job in jobs)


def test_each_run_is_the_plan_of_the_changed_case(found: pd.DataFrame, tiny: Case) -> None:
    """The whole command's plan of each changed case costs the same, part by part; the judge is heard."""
    for variant in (Variant("base"), SHORT):
        own = plan_case(changed(tiny, variant.changes), EXACT)
        row = found.loc[variant.name]
        assert row["objective_pv_cost"] == pytest.approx(own.solved.objective_pv_cost, abs=1e-3)
        assert row["works_count"] == len(own.picked.works)
        parts = [name for name in found if name.endswith("_pv_cost") and name.split("_")[0] in ("risk", "planned", "access", "extension", "overtime")]  # fmt: skip
        assert len(parts) == 5 and row[parts].sum() == pytest.approx(row["objective_pv_cost"], abs=0.01)  # fmt: skip
    own = plan_case(tiny, EXACT, lives=Lives(5, weight_share=0.5))
    assert found.at["bad", "objective_pv_cost"] == pytest.approx(
        own.solved.objective_pv_cost, abs=1e-3
    )
    assert (found["breaches_count"] == 0).all() and (found["gap_share"] <= 1e-6).all()
    assert (found["bound_pv_cost"] <= found["objective_pv_cost"]).all()
    assert (found["works_count"] - found.at["base", "works_count"] == found["in_count"] - found["out_count"]).all()  # fmt: skip


def test_keeping_the_base_plan_costs_what_a_plan_of_its_works_costs(
    found: pd.DataFrame, folder: Path, tiny: Case
) -> None:
    """With every base work forced in and all else out, the changed case costs the kept cost."""
    works = pd.read_csv(folder / "sweep_works.csv").query("run == 'base'")
    pins = [
        {"component": w.component, "action": w.action, "outage": w.period, "rule": "in"}
        for w in works.itertuples()
    ]
    idle = sorted(set(tiny["components"]["component"]) - set(works["component"]))
    pins += [{"component": name, "rule": "out"} for name in idle]
    assert works["period"].isin(tiny["outages"]["outage"]).all() and idle
    made = changed(tiny, CHEAP.changes)
    made = replace(made, tables={**made.tables, "pins": table("pins", pins)})
    kept = found.at["cheap", "kept_pv_cost"]
    assert plan_case(made, EXACT).solved.objective_pv_cost == pytest.approx(kept, abs=1e-3)
    assert (found["kept_pv_cost"] > found["objective_pv_cost"])[["cheap", "short"]].all()
    assert pd.isna(found.at["bad", "kept_pv_cost"]) and pd.isna(found.at["base", "kept_pv_cost"])


def test_two_processes_and_any_order_give_the_same_bytes(
    found: pd.DataFrame, folder: Path, tiny: Case, tmp_path: Path
) -> None:
    assert len(found) == 4
    with processes(2) as runner:
        sweep(tiny, ASKED, tmp_path / "two", lambda jobs: runner(list(reversed(jobs))))
    assert texts(tmp_path / "two") == texts(folder)


def test_a_stopped_sweep_goes_on_where_it_was(tiny: Case, tmp_path: Path) -> None:
    """Two of four runs are there; the next start makes the other two and tells of it."""
    with pytest.raises(KeyboardInterrupt):
        sweep(tiny, ASKED, tmp_path, Pretending(2))
    assert not (tmp_path / "sweep.csv").exists()
    again = Pretending()
    done = sweep(tiny, ASKED, tmp_path, again)
    assert len(again.made) == 2 and done.taken == ("base", "cheap")
    assert "2 of these 4 runs taken over" in sweep_words(done)
    times = pd.read_csv(tmp_path / "sweep_seconds.csv").set_index("run")
    assert list(times.index[times["is_taken_over"]]) == ["base", "cheap"]


def test_runs_start_from_the_works_and_prices_of_the_base_plan(tiny: Case, tmp_path: Path) -> None:
    """The base starts from nothing, the others from its works; also where it is taken over."""
    for count in (2, 1):
        runner = Counting()
        asked = Asked((CHEAP,) if count == 2 else (SHORT,), EXACT)
        done = sweep(tiny, asked, tmp_path / "out", runner)
        assert len(runner.made) == count
        start = runner.made[-1].start
        assert start is not None and start.works == frozenset(done.base.works)
        assert start.prices and dict(start.prices) == {
            (rule, key): price for rule, key, price in done.base.prices if rule != "placed"
        }  # placements are numbered anew in a changed case
        assert all(isinstance(key, str | int | tuple) for _, key in start.prices)
    assert runner.made[0].changes == SHORT.changes


def test_other_input_options_or_scenarios_take_nothing_over(tiny: Case, tmp_path: Path) -> None:
    """A cell, a setting, the gap: each asks for all runs anew. Another name does not."""
    asked = Asked((CHEAP,), EXACT)
    out = tmp_path / "out"
    sweep(tiny, asked, out, Pretending())
    dearer = tiny["actions"].assign(cost=tiny["actions"]["cost"] + 1)
    others = [
        (replace(tiny, tables={**tiny.tables, "actions": dearer}), asked),
        (replace(tiny, settings=replace(tiny.settings, receive_days=1.0)), asked),
        (tiny, replace(asked, options=Options(gap_share=0.001))),
    ]
    for made, own in others:
        runner = Pretending()
        assert sweep(made, own, out, runner).taken == () and len(runner.made) == 2
    runner = Pretending()
    named = replace(asked, variants=(replace(CHEAP, name="other"),))
    assert sweep(tiny, named, out, runner).taken == ("base", "other") and not runner.made
    bad = replace(asked, variants=(BAD,), lives=Lives(2))
    assert sweep(tiny, bad, out, Pretending()).taken == ("base",)
    runner = Pretending()
    sweep(tiny, replace(bad, lives=Lives(2, seed=9)), out, runner)
    assert [job.lives and job.lives.seed for job in runner.made] == [9]


def test_another_version_takes_nothing_over(
    tiny: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sweep(tiny, Asked((), EXACT), tmp_path / "out", Pretending())
    monkeypatch.setattr("bundler.sweep.keys.code_key", lambda: "another")
    assert sweep(tiny, Asked((), EXACT), tmp_path / "out", Pretending()).taken == ()


@pytest.mark.parametrize("spoil", ["", "{}", "[1]", "cut", "other"])
def test_a_file_that_is_no_run_is_made_again(spoil: str, tiny: Case, tmp_path: Path) -> None:
    out = tmp_path / "out"
    first = sweep(tiny, Asked((), EXACT), out, Pretending())
    (path,) = (out / "runs").iterdir()
    told = path.read_text(encoding="utf-8")
    text = {"cut": told[:200], "other": told.replace('"key": "', '"key": "0')}.get(spoil, spoil)
    path.write_text(text, encoding="utf-8")
    again = sweep(tiny, Asked((), EXACT), out, Pretending())
    assert again.taken == () and again.base.works == first.base.works
    assert (out / "runs").exists() and len(list((out / "runs").iterdir())) == 1


def test_a_run_comes_back_from_its_text_bit_by_bit(tiny: Case) -> None:
    done = run_one(Job("k", tiny, (), EXACT))
    assert done_of("k", text_of("k", done)) == done
    assert done.costs["objective_pv_cost"] != round(done.costs["objective_pv_cost"], 3)


def test_a_folder_with_more_in_it_is_left_as_it_is(tiny: Case, tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(BundlerError, match="left as it is"):
        sweep(tiny, Asked((), EXACT), tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def forced(budget: float) -> Case:
    """Return one pump that is pinned into P1 and a budget for the year it is paid in."""
    pins = [{"component": "PUMP-1", "action": "replace", "outage": "P1", "rule": "in"}]
    money = [{"year": year, "limit_cost": budget} for year in range(2027, 2036)]
    return case(**one_unit(pins=pins, budgets=money))


LESS = Variant("less", (Change("budgets", ratio=0.5),))
MORE = Variant("more", (Change("budgets", ratio=4.0),))


def test_a_run_without_a_plan_is_a_row_with_its_reason(tmp_path: Path) -> None:
    """A work of 300 that has to be paid fits 400 a year, not 200; the sweep goes on."""
    found = sweep(forced(400.0), Asked((LESS, CHEAP), EXACT), tmp_path)
    told = found.tables["sweep"].set_index("run")
    assert list(told["status"]) == ["optimal", "no plan", "optimal"]
    assert pd.isna(told.at["less", "objective_pv_cost"]) and pd.isna(told.at["less", "works_count"])
    assert "budget" in told.at["less", "reason"].lower()
    assert "Run less, no plan:" in sweep_words(found)
    (row,) = found.tables["sweep_firm"].itertuples()
    assert (row.same_count, row.runs_count, row.mark) == (2, 2, "firm")


def test_without_a_base_plan_the_changed_cases_are_planned_all_the_same(tmp_path: Path) -> None:
    """Money for nothing in the base, four times as much in the other: only it has a plan."""
    found = sweep(forced(100.0), Asked((MORE,), EXACT), tmp_path)
    told = found.tables["sweep"].set_index("run")
    assert list(told["status"]) == ["no plan", "optimal"]
    assert told.at["more", "works_count"] == 1 and pd.isna(told.at["more", "moved_count"])
    assert found.tables["sweep_firm"].empty
    assert "has no plan" in sweep_words(found)


def test_a_plan_over_lives_that_does_not_hold_is_searched_without_learning(
    tiny: Case, found: pd.DataFrame, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where nothing is learned that is the same plan, found in a second search, and it is judged."""
    held = iter([False, True])
    searches: list[object] = []

    around, search = tailed.around_tail, tailed.searched

    def searched(*given: Any) -> Any:
        searches.append(given)
        return search(*given)

    monkeypatch.setattr(tailed, "around_tail", lambda *a: around(*a) if next(held) else None)
    monkeypatch.setattr(tailed, "searched", searched)
    done = run_one(Job("k", tiny, BAD.changes, EXACT, Lives(5, weight_share=0.5)))
    assert len(searches) == 2 and done.breaches == ()
    told = found.loc["bad"]
    assert done.costs["objective_pv_cost"] == pytest.approx(told["objective_pv_cost"], abs=1e-3)
    assert done.costs["bound_pv_cost"] == pytest.approx(told["bound_pv_cost"], abs=1e-3)


def test_a_run_without_an_answer_is_asked_again(
    tiny: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What only lacked time is told and not kept."""

    def out_of_time(*_: object) -> None:
        raise one.SolverError("The solver stopped without a plan. Allow more time.")

    with monkeypatch.context() as patch:
        patch.setattr(one, "plan_in_rounds", out_of_time)
        done = sweep(tiny, Asked((), EXACT), tmp_path)
        assert done.base.status == "no answer" and "Allow more time" in sweep_words(done)
    done = sweep(tiny, Asked((), EXACT), tmp_path)
    assert done.taken == () and done.base.status == "optimal"


def test_what_the_judge_finds_is_counted_and_told(
    tiny: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    breach = Breach("limits", "P1", "P1 holds too much of M.", 1.0)
    monkeypatch.setattr(one, "judge", lambda *_: [breach])
    found = sweep(tiny, Asked((), EXACT), tmp_path)
    assert list(found.tables["sweep"]["breaches_count"]) == [1] and not found.is_sound
    assert "do not use these plans:\nbase: P1 holds too much of M." in sweep_words(found)


def test_records_are_plain_json(found: pd.DataFrame, folder: Path) -> None:
    """One file a run, named by its key; only the base plan keeps prices."""
    told = [json.loads(path.read_text("utf-8")) for path in sorted((folder / "runs").iterdir())]
    assert len(told) == len(found) == 4
    assert sum(bool(each["prices"]) for each in told) == 1
