"""Decides which balance-of-plant work goes into which outage of a station.

A folder with station.yaml and CSV tables goes in; a plan with its proven gap comes out:
`plan_folder(folder)` returns a `Run` whose `tables` are pandas tables and whose pictures
`bundler.report.figures` draws. `life_report(case, name)` tells what records and readings say of a
life.
"""

from bundler.explain.life_report import life_report
from bundler.run import Run, load_case, plan_case, plan_folder
from bundler.solve.highs import Options

__all__ = ["Options", "Run", "life_report", "load_case", "plan_case", "plan_folder"]
