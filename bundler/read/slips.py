"""Every kind of finding that reading can give: one sentence in four parts for each."""

from dataclasses import dataclass

from bundler.errors import Finding

#: longest piece of a cell that is repeated in a sentence
SHOWN = 40


def printable(text: str) -> str:
    """Return a piece of input with signs that cannot be printed written out."""
    return text if text.isprintable() else ascii(text)[1:-1]


def clean(text: str) -> str:
    """Return a piece of input short and printable, so that it can stand in a sentence."""
    return printable(text if len(text) <= SHOWN else text[:SHOWN] + "...")


def shown(text: str) -> str:
    """Return a cell's text in quotes, short and printable."""
    return f'"{clean(text)}"'


@dataclass(frozen=True)
class Slip:
    """A kind of finding; braces in its three parts are filled where it is found."""

    found: str
    allowed: str
    remedy: str

    def at(self, table: str, row: int, column: str, **values: object) -> Finding:
        """Return the finding for one place."""
        parts = (self.found, self.allowed, self.remedy)
        found, allowed, remedy = (part.format(**values) for part in parts)
        return Finding(printable(table), row, clean(column), found, allowed, remedy)


SLIPS = {
    "no folder": Slip(
        "there is no such folder",
        "a station is a folder with station.yaml and its tables",
        "Give the path of that folder.",
    ),
    "missing file": Slip(
        "the file is missing", "every station has it", "Add it to the folder."
    ),
    "unknown file": Slip(
        "no table has this name",
        "a station holds station.yaml and the tables of the dictionary",
        "{hint}Rename it, or move it out of the folder.",
    ),
    "not a file": Slip(
        "it is a link, a folder or another thing that is no plain file",
        "input is read from plain files only",
        "Put the file itself in its place.",
    ),
    "unreadable": Slip(
        "the file cannot be opened ({why})",
        "every input file has to be readable",
        "Check its permissions, and close it in other programs.",
    ),
    "too large": Slip(
        "the file has {size:,} bytes", "at most {most:,} are read", "Keep only what the plan needs."
    ),
    "encoding": Slip(
        "the text is not UTF-8 (byte {byte})", "input is UTF-8 text", "Save it again as UTF-8."
    ),
    "broken csv": Slip(
        "the line cannot be split into cells ({why})",
        "cells are separated by commas, and quotes come in pairs",
        "Correct the quotes in this line.",
    ),
    "no header": Slip(
        "the file is empty",
        "its first row names the columns",
        "Add the header, or delete the file if the table is not needed.",
    ),
    "separator": Slip(
        "the header has no comma but a {sign}",
        "cells are separated by commas",
        "Save it again with commas between cells.",
    ),
    "no rows": Slip("the table has no rows", "it needs at least one", "Add its rows."),
    "unknown column": Slip(
        "the column is not known",
        "columns are those of the dictionary",
        "{hint}Rename or delete it.",
    ),
    "unnamed column": Slip(
        "column {number} has no name", "every column has a name", "Name it, or delete the column."
    ),
    "column twice": Slip(
        "the column is there twice", "a column stands once", "Delete or rename one of them."
    ),
    "missing column": Slip(
        "the column is missing", "it has to be there: {meaning}", "Add the column."
    ),
    "ragged": Slip(
        "{count} cells where the header has {expected}",
        "each row has one cell for each column",
        "Add or delete commas, and put quotes around text that holds a comma.",
    ),
    "empty": Slip("it is empty", "it has to be filled: {meaning}", "Fill it."),
    "not a number": Slip(
        "{text} is no number",
        "numbers are digits with a point for decimals",
        "Write it without unit, blanks or thousands separators.",
    ),
    "not finite": Slip(
        "{text} has no end", "numbers are finite", "Give a finite number, or leave the cell empty."
    ),
    "not whole": Slip("{text} is not whole", "this is a whole number", "Round it."),
    "out of range": Slip(
        "{text} is out of range",
        "{range} is allowed",
        "Check value and unit ({meaning}).",
    ),
    "not a date": Slip(
        "{text} is no date",
        "dates are written year-month-day, for example 2031-03-01",
        "Write a day of the calendar in that way.",
    ),
    "not a word": Slip(
        "{text} is not an allowed word", "{words} is allowed", "{hint}Use an allowed word."
    ),
    "both trains": Slip(
        "{text} is a lot over both trains, and such a lot cannot be placed",
        "both trains may never be out together, so a row is of train A, of train B or of none",
        "Split it into one row for each train.",
    ),
    "bad key": Slip(
        "{text} is no name for the tables",
        "names have up to 60 letters, digits, dots, dashes and underscores, "
        "and start with a letter or digit",
        "Rename it here and wherever it is used.",
    ),
    "bad conditions": Slip(
        "{text} names no conditions",
        "conditions are names joined by +, and a star stands for the train, as in T+B*",
        "Correct the names and the signs between them.",
    ),
    "long text": Slip(
        "the text has {length} characters", "text has at most {most}", "Shorten it."
    ),
    "unprintable": Slip(
        "{text} holds a line break or another sign that cannot be printed",
        "text is one line of printable characters",
        "Delete that sign.",
    ),
    "key twice": Slip(
        "{text} is already in row {first}",
        "each name, or set of names, stands in one row",
        "Delete or rename one of the two.",
    ),
    "broken yaml": Slip(
        "it cannot be read ({why})",
        "each line is a name, a colon, a blank and a value",
        "Correct the line.",
    ),
    "no mapping": Slip(
        "the file is no list of names with values",
        "each line is a name, a colon, a blank and a value",
        "Write the settings one a line.",
    ),
    "nested": Slip(
        "the value is a list or a group", "each setting has one value", "Write one value."
    ),
    "reference": Slip(
        "the value has an anchor, an alias or a tag",
        "each setting is plain text",
        "Write the value itself.",
    ),
    "unknown setting": Slip(
        "the setting is not known",
        "settings are those of the dictionary",
        "{hint}Rename or delete it.",
    ),
    "setting twice": Slip(
        "the setting is there twice", "a setting stands once", "Delete one of the two."
    ),
    "missing setting": Slip(
        "the setting is missing", "it has to be there: {meaning}", "Add the line."
    ),
}  # fmt: skip
