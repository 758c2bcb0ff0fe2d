"""The sets of published instances, and what is asked of the solver on each family of them."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import chain

from bundler.solve.highs import Options
from tests.published import cflp, gap, mkp, mmkp, roadef
from tests.published.answer import Answer
from tests.published.folder import Known

#: by name of a set: which instances it has, and the answer to one of them
KNOWN: dict[str, Callable[[], list[Known]]] = {
    "gap": gap.known, "mmkp": mmkp.known, "mkp": mkp.known, "cflp": cflp.known,
    "roadef": roadef.known,
}  # fmt: skip
ANSWER: dict[str, Callable[[Known, Options], Answer]] = {
    "gap": gap.answer, "mmkp": mmkp.answer, "mkp": mkp.answer, "cflp": cflp.answer,
    "roadef": roadef.answer,
}  # fmt: skip


@dataclass(frozen=True)
class Target:
    """What is asked within how many seconds; None where nothing is asked.

    from_known_share is the most by which a plan may be worse than the known value, gap_share the
    most between a plan and its bound, as shares of the plan's value.
    """

    seconds: float
    is_proved: bool = False
    from_known_share: float | None = None
    gap_share: float | None = None

    def is_reached(self, answer: Answer) -> bool:
        """Say whether an answer is what is asked, whatever time it took."""
        return (
            (answer.is_proved or not self.is_proved)
            and _is_within(answer.from_known_share, self.from_known_share)
            and _is_within(answer.gap_share, self.gap_share)
        )

    def __str__(self) -> str:
        known, between = self.from_known_share, self.gap_share
        parts = ["optimum, proved"] if self.is_proved else []
        parts += [f"within {known:.1%} of the known value"] if known is not None else []
        parts += [f"at most {between:.0%} between plan and bound"] if between is not None else []
        return f"{', '.join(parts)}, in {self.seconds:g} s"


def _is_within(found: float, most: float | None) -> bool:
    return most is None or found <= most


PROVED, NARROW = Target(30.0, is_proved=True), Target(60.0, gap_share=0.01)
#: by family, in the order of the report
TARGETS = {
    "gap1-6": PROVED, "gap a-e": Target(60.0, from_known_share=0.005),
    "hiremath-hill": PROVED, "khan": Target(60.0, from_known_share=0.002),
    "inst": NARROW, "irregular": NARROW, "large": NARROW,
    "mknap1": PROVED, "sac94": PROVED, "mknapcb": Target(60.0, from_known_share=0.003),
    "cflp": PROVED, "mean risk": Target(60.0, is_proved=True),
    "full score": Target(60.0, is_proved=True),
}  # fmt: skip


def all_known() -> list[Known]:
    """Return the instances of all sets; none where the data does not stand beside the project."""
    return list(chain.from_iterable(known() for known in KNOWN.values()))
