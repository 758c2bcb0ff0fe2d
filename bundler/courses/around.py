"""What the rest of a plan means for the courses of each component."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from bundler.courses.candidates import Learned
from bundler.courses.exposure import Extra


@dataclass(frozen=True)
class Around:
    """A plan as it bears on the courses of each component, while the others do as they do there.

    learned : hours and days of a work in a period over those of the first of its kind, by family,
        kind of work and period; 1 where nothing is told.
    extras : what failures cost beside their own loss, by component.
    shared_pv_cost : what failures cost together that no course is charged.
    """

    learned: Learned = field(default_factory=dict)
    extras: Mapping[str, Extra] = field(default_factory=dict)
    shared_pv_cost: float = 0.0


#: nothing learned, nothing shared
NOTHING = Around()
