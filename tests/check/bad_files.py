"""Bad inputs: files that cannot be read."""

# ruff: noqa: E501
from tests.check.bad import Bad

BAD_FILES = [
    Bad(
        "missing file",
        lambda pen: pen.path("crews").unlink(),
        "crews.csv: the file is missing; every station has it. Add it to the folder.",
    ),
    Bad(
        "unknown file",
        lambda pen: pen.path("resources").rename(pen.folder / "rescources.csv"),
        'rescources.csv: no table has this name; a station holds station.yaml and the tables of the dictionary. Did you mean "resources.csv"? Rename it, or move it out of the folder.',
    ),
    Bad(
        "unknown file",
        lambda pen: pen.text("weather.csv", "day\n1\n"),
        "weather.csv: no table has this name; a station holds station.yaml and the tables of the dictionary. Rename it, or move it out of the folder.",
    ),
    Bad(
        "unknown file",
        lambda pen: (pen.folder / "station.yaml").rename(pen.folder / "station.yml"),
        'station.yml: no table has this name; a station holds station.yaml and the tables of the dictionary. Did you mean "station.yaml"? Rename it, or move it out of the folder.',
    ),
    Bad(
        "not a file",
        lambda pen: (
            pen.path("budgets").unlink(),
            pen.path("budgets").symlink_to(pen.path("units")),
        ),
        "budgets.csv: it is a link, a folder or another thing that is no plain file; input is read from plain files only. Put the file itself in its place.",
    ),
    Bad(
        "not a file",
        lambda pen: (pen.path("budgets").unlink(), pen.path("budgets").mkdir()),
        "budgets.csv: it is a link, a folder or another thing that is no plain file; input is read from plain files only. Put the file itself in its place.",
    ),
    Bad(
        "unreadable",
        lambda pen: pen.lock("areas.csv"),
        "areas.csv: the file cannot be opened (Permission denied); every input file has to be readable. Check its permissions, and close it in other programs.",
    ),
    Bad(
        "too large",
        lambda pen: pen.text("station.yaml", "#" * 1000001),
        "station.yaml: the file has 1,000,001 bytes; at most 1,000,000 are read. Keep only what the plan needs.",
    ),
    Bad(
        "encoding",
        lambda pen: pen.path("areas").write_bytes(b"area,name,usable_m2\nTB,H\xe4lfte,100\n"),
        "areas.csv: the text is not UTF-8 (byte 25); input is UTF-8 text. Save it again as UTF-8.",
    ),
    Bad(
        "broken csv",
        lambda pen: pen.replace("areas.csv", "turbine basement", '"turbine" basement'),
        "areas.csv row 2: the line cannot be split into cells (',' expected after '\"'); cells are separated by commas, and quotes come in pairs. Correct the quotes in this line.",
    ),
    Bad(
        "no header",
        lambda pen: pen.text("links.csv", "\n"),
        "links.csv: the file is empty; its first row names the columns. Add the header, or delete the file if the table is not needed.",
    ),
    Bad(
        "separator",
        lambda pen: pen.text("areas.csv", "area;name;usable_m2\nTB;hall;1000\n"),
        "areas.csv row 1: the header has no comma but a semicolon; cells are separated by commas. Save it again with commas between cells.",
    ),
    Bad(
        "separator",
        lambda pen: pen.text("areas.csv", "area\tname\tusable_m2\nTB\thall\t1000\n"),
        "areas.csv row 1: the header has no comma but a tab; cells are separated by commas. Save it again with commas between cells.",
    ),
    Bad(
        "no rows",
        lambda pen: pen.text("windows.csv", "kind,condition\n"),
        "windows.csv: the table has no rows; it needs at least one. Add its rows.",
    ),
    Bad(
        "unknown column",
        lambda pen: pen.replace("units.csv", "capacity_mw", "capacity_MW"),
        'units.csv row 1, capacity_MW: the column is not known; columns are those of the dictionary. Did you mean "capacity_mw"? Rename or delete it.',
    ),
    Bad(
        "unknown column",
        lambda pen: pen.cell("areas", 1, "colour", "colour"),
        "areas.csv row 1, colour: the column is not known; columns are those of the dictionary. Rename or delete it.",
    ),
    Bad(
        "unnamed column",
        lambda pen: pen.text("areas.csv", "area,name,usable_m2,\nTB,hall,1000,\n"),
        "areas.csv row 1: column 4 has no name; every column has a name. Name it, or delete the column.",
    ),
    Bad(
        "column twice",
        lambda pen: pen.text("areas.csv", "area,name,usable_m2,name\nTB,hall,1000,hall\n"),
        "areas.csv row 1, name: the column is there twice; a column stands once. Delete or rename one of them.",
    ),
    Bad(
        "missing column",
        lambda pen: pen.drop_column("units", "capacity_mw"),
        "units.csv row 1, capacity_mw: the column is missing; it has to be there: net electrical capacity. Add the column.",
    ),
    Bad(
        "ragged",
        lambda pen: pen.replace("areas.csv", "turbine basement", "turbine, basement"),
        "areas.csv row 2: 4 cells where the header has 3; each row has one cell for each column. Add or delete commas, and put quotes around text that holds a comma.",
    ),
]
