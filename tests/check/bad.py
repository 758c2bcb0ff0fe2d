"""One bad input: what it is an example of, how to spoil the tiny station, what has to be told."""

from collections.abc import Callable

from tests.read.pen import Pen


class Bad:
    """An example of one kind of finding; notes are written with "note: " before the sentence."""

    def __init__(self, kind: str, spoil: Callable[[Pen], object], *sentences: str) -> None:
        self.kind, self.spoil, self.sentences = kind, spoil, sentences
