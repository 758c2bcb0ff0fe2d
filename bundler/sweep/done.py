"""A finished run as a small record, and as the text in which it is kept."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

#: status of a run that has no plan, as none keeps every rule, and of one whose time gave none
NO_PLAN, NO_ANSWER = "no plan", "no answer"

Work = tuple[str, str, str]


@dataclass(frozen=True)
class Done:
    """What a run leaves behind.

    status : of its search; `NO_PLAN` or `NO_ANSWER`, with `reason`, where there is no plan.
    costs : objective_pv_cost, bound_pv_cost, gap_share and the parts of the cost, at the lives
        assumed.
    kept_pv_cost : what the base plan's works cost in this case; None where they break something,
        and over scenarios of lives.
    works : (component, action, period) of all works, sorted.
    firsts : action and period of the first work of each component that has one.
    extension_days : days added to all outages [d].
    breaches : what the judge found.
    prices : (rule, key, price) of the relaxed problem, for runs that start from this one.
    seconds : how long it took [s]; the only thing that may differ between equal runs.
    """

    status: str
    reason: str = ""
    costs: Mapping[str, float] = field(default_factory=dict)
    kept_pv_cost: float | None = None
    works: tuple[Work, ...] = ()
    firsts: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    extension_days: float = 0.0
    breaches: tuple[str, ...] = ()
    prices: tuple[tuple[str, Any, float], ...] = ()
    seconds: float = 0.0

    @property
    def has_plan(self) -> bool:
        """Return whether there is a plan."""
        return self.status not in (NO_PLAN, NO_ANSWER)


def _tupled(value: Any) -> Any:
    """Return lists as tuples, as keys of prices are."""
    return tuple(_tupled(each) for each in value) if isinstance(value, list) else value


def text_of(key: str, done: Done) -> str:
    """Return a run as text; floats come back as they were, bit by bit."""
    told = {"key": key, **asdict(done)}
    return json.dumps(told, ensure_ascii=False, sort_keys=True, indent=1) + "\n"


def done_of(key: str, text: str) -> Done | None:
    """Return the run in a text; None where it is no run, or another one."""
    try:
        told = {name: _tupled(value) for name, value in json.loads(text).items()}
        if told.pop("key") != key:
            return None
        told["firsts"] = {name: _tupled(first) for name, first in told["firsts"].items()}
        return Done(**told)
    except (ValueError, TypeError, KeyError, AttributeError):
        return None
