"""One true life, written as a dozen stitchers would keep it: workbooks of different makes, from one list of sessions.

python -m tests.entry.importing.makes DIR    writes them all, to be looked at
"""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Callable
from itertools import groupby
from pathlib import Path
from typing import Any

# Invented. Stitches are tens, so that percentages come out even.
TOTALS = {"Otter Creek": 10_000, "Salt Wind": 20_000, "Fox in Snow": 5_000}
SIZES = {"Otter Creek": (100, 100), "Salt Wind": (200, 100), "Fox in Snow": (50, 100)}
_WORKED = [
    *[(1, 20, "Otter Creek", 210), (1, 21, "Otter Creek", 140), (1, 21, "Fox in Snow", 90)],
    *[(1, 24, "Salt Wind", 300), (1, 29, "Otter Creek", 60), (1, 31, "Salt Wind", 120)],
    *[(2, 2, "Fox in Snow", 160), (2, 3, "Salt Wind", 80), (2, 3, "Otter Creek", 250), (2, 11, "Fox in Snow", 40)],
    *[(2, 14, "Otter Creek", 110), (2, 20, "Salt Wind", 1230), (2, 27, "Fox in Snow", 70)],
    *[(3, 1, "Otter Creek", 190), (3, 4, "Salt Wind", 50), (3, 8, "Fox in Snow", 130), (3, 8, "Salt Wind", 220)],
    *[(3, 15, "Otter Creek", 30), (3, 22, "Fox in Snow", 100), (3, 30, "Salt Wind", 170)],
]
LIFE = [(piece, dt.date(2026, month, day), float(n)) for month, day, piece, n in _WORKED]
NAMES = list(TOTALS)
DAYS = sorted({day for _, day, _ in LIFE})

Rows = list[list[Any]]


def so_far() -> list[tuple[str, dt.date, float]]:
    """The life as counts to date."""
    sums = dict.fromkeys(NAMES, 0.0)
    out = []
    for piece, day, n in LIFE:
        sums[piece] += n
        out.append((piece, day, sums[piece]))
    return out


def percent() -> list[tuple[str, dt.date, float]]:
    return [(piece, day, round(n / TOTALS[piece] * 100, 4)) for piece, day, n in so_far()]


def long(text: Callable[[dt.date], Any] = lambda d: d, life: Any = None) -> Rows:
    return [[text(day), piece, n] for piece, day, n in life or LIFE]


def wide(text: Callable[[dt.date], Any] = lambda d: d, life: Any = None, days: Any = None) -> Rows:
    told = {(piece, day): n for piece, day, n in life or LIFE}
    return [[text(day), *(told.get((piece, day)) for piece in NAMES)] for day in days or DAYS]


def pieces_sheet(head: tuple[str, ...] = ("Project", "Size", "Fabric", "Total stitches", "Start")) -> Rows:
    start = {piece: min(d for p, d, _ in LIFE if p == piece) for piece in NAMES}
    size = {p: f"{w}w x {h}h" for p, (w, h) in SIZES.items()}
    return [list(head), *([p, size[p], "28ct over 2", TOTALS[p], start[p]] for p in NAMES)]


def save_xlsx(path: Path, sheets: dict[str, Rows], merged: dict[str, list[str]] | None = None, form: str = "") -> None:
    import openpyxl

    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
        for cell in (c for row in sheet.iter_rows() for c in row if form and isinstance(c.value, float)):
            cell.number_format = form
        for area in (merged or {}).get(name, []):
            sheet.merge_cells(area)
    book.save(path)


def save_xls(path: Path, sheets: dict[str, Rows]) -> None:
    import xlwt

    book = xlwt.Workbook()
    date = xlwt.easyxf(num_format_str="DD/MM/YYYY")
    for name, rows in sheets.items():
        sheet = book.add_sheet(name)
        for r, row in enumerate(rows):
            for c, value in enumerate(row):
                if value is not None:
                    sheet.write(r, c, value, *([date] if isinstance(value, dt.date) else []))
    book.save(str(path))


def save_ods(path: Path, sheets: dict[str, Rows]) -> None:
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    book = OpenDocumentSpreadsheet()
    for name, rows in sheets.items():
        table = Table(name=name)
        for row in rows:
            line = TableRow()
            for value in row:
                if isinstance(value, dt.date):
                    cell = TableCell(valuetype="date", datevalue=value.isoformat())
                elif isinstance(value, int | float):
                    cell = TableCell(valuetype="float", value=value)
                else:
                    cell = TableCell(valuetype="string") if value else TableCell()
                if value is not None:
                    cell.addElement(P(text=str(value)))
                line.addElement(cell)
            table.addElement(line)
        book.spreadsheet.addElement(table)
    book.save(str(path))


def save_text(path: Path, rows: Rows, delimiter: str = ",", encoding: str = "utf-8") -> None:
    import csv
    import io

    out = io.StringIO()
    csv.writer(out, delimiter=delimiter).writerows([["" if v is None else v for v in row] for row in rows])
    path.write_bytes(out.getvalue().encode(encoding))


def _month_sums(rows: Rows, at: int) -> Rows:
    """The rows with a line of totals behind each month."""
    out: Rows = []
    for month, group in groupby(rows, key=lambda row: row[0].month):
        told = list(group)
        out += [*told, [f"Total {dt.date(2026, month, 1):%B}", *[None] * (at - 1), sum(row[at] for row in told)], []]
    return out


def long_with_titles(path: Path) -> Path:
    """A title, blank lines, totals a month, the headings again, a list of pieces."""
    rows = _month_sums(long(), 2)
    head = ["Date", "Project", "Stitches"]
    sheet = [["My stitching diary"], [], head, *rows[:15], head, *rows[15:], ["Grand total", None, 3750]]
    save_xlsx(path / "titles.xlsx", {"Log": sheet, "WIPs": pieces_sheet()}, {"Log": ["A1:C1"]})
    return path / "titles.xlsx"


def german(path: Path) -> Path:
    """German words, hours at the needle, a running weekday."""
    rows = [[d, f"{d:%a}", p, n, 1.5, "schön"] for p, d, n in LIFE]
    head = ["Datum", "Wochentag", "Projekt", "Stiche", "Zeit (Std)", "Bemerkung"]
    pieces = pieces_sheet(("Projekt", "Größe", "Stoff", "Stiche gesamt", "Begonnen"))
    save_ods(path / "Stickbuch.ods", {"Stickbuch": [head, *rows], "Projekte": pieces})
    return path / "Stickbuch.ods"


def a_column_a_piece(path: Path) -> Path:
    """A column a piece, a total a day, averages below, text where nothing was stitched."""
    rows = [[*row, sum(v or 0 for v in row[1:])] for row in wide()]
    rows.insert(5, [dt.date(2026, 2, 1), "sick", None, "-", None])
    rows += [[], ["Average", 100, 200, 90, 130]]
    save_xlsx(path / "wide.xlsx", {"2026": [["2026"], ["", *NAMES, "Total"], *rows]}, {"2026": ["A1:E1"]})
    return path / "wide.xlsx"


def old_binary(path: Path) -> Path:
    """The old binary format, real dates, a list of pieces first."""
    save_xls(path / "old.xls", {"Pieces": pieces_sheet(), "Sessions": [["When", "WIP", "Xs"], *long()]})
    return path / "old.xls"


def month_first(path: Path) -> Path:
    """Days as text, month first, a comma in the thousands."""
    rows = [[f"{d:%m/%d/%Y}", p, f"{n:,.0f}"] for p, d, n in LIFE]
    save_text(path / "month first.csv", [["day", "name", "count"], *rows])
    return path / "month first.csv"


def a_row_a_piece(path: Path) -> Path:
    """A row a piece, a column a day, with the piece's size before them."""
    told = {(p, d): n for p, d, n in LIFE}
    size = {p: f"{w} x {h}" for p, (w, h) in SIZES.items()}
    rows = [[p, size[p], *(told.get((p, d)) for d in DAYS)] for p in NAMES]
    total = ["Total", None, *(sum(told.get((p, d), 0) for p in NAMES) for d in DAYS)]
    save_xlsx(path / "rows.xlsx", {"Rows": [["WIP", "Size", *DAYS], *rows, total]})
    return path / "rows.xlsx"


def a_sheet_a_piece(path: Path) -> Path:
    """A sheet a piece, with lines about the piece above the headings."""
    sheets = {}
    for piece in NAMES:
        told = [[d, n, None] for p, d, n in LIFE if p == piece]
        about = [["Total", TOTALS[piece]], ["Fabric", "28ct over 2"], []]
        sheets[piece] = [*about, ["Date", "Stitches", "Notes"], *told, ["Total", sum(row[1] for row in told)]]
    save_xlsx(path / "by piece.xlsx", sheets)
    return path / "by piece.xlsx"


def a_sheet_a_month(path: Path) -> Path:
    """A sheet a month with every day of it numbered, a column a piece."""
    sheets = {}
    for month, last in ((1, 31), (2, 28), (3, 31)):
        days = [dt.date(2026, month, day) for day in range(1, last + 1)]
        sheets[f"{days[0]:%B} 2026"] = [["Day", *NAMES], *wide(lambda d: d.day, days=days)]
    save_xlsx(path / "months.xlsx", sheets)
    return path / "months.xlsx"


def a_month_across(path: Path) -> Path:
    """A sheet a month, a row a piece, the days of the month across."""
    told = {(p, d): n for p, d, n in LIFE}
    sheets = {}
    for month, last in ((1, 31), (2, 28), (3, 31)):
        days = [dt.date(2026, month, day) for day in range(1, last + 1)]
        rows = [[p, *(told.get((p, d)) for d in days)] for p in NAMES]
        sheets[f"{days[0]:%b} 26"] = [["Project", *(d.day for d in days)], *rows]
    save_ods(path / "across.ods", sheets)
    return path / "across.ods"


def counts_so_far(path: Path) -> Path:
    """Counts to date with points in the thousands, days as 20.1.26."""
    rows = [[f"{d.day}.{d.month}.{d:%y}", p, f"{n:,.0f}".replace(",", ".")] for p, d, n in so_far()]
    save_text(path / "stand.csv", [["Datum", "Projekt", "Gesamt bisher"], *rows], ";", "cp1252")
    return path / "stand.csv"


def wide_so_far(path: Path) -> Path:
    """A column a piece with the count so far, carried on where nothing was stitched."""
    rows, last = [], dict.fromkeys(NAMES)
    told = {(p, d): n for p, d, n in so_far()}
    for day in DAYS:
        last |= {p: told[p, day] for p in NAMES if (p, day) in told}
        rows.append([day, *last.values()])
    save_xlsx(path / "so far.xlsx", {"Progress": [["Date", *NAMES], *rows]})
    return path / "so far.xlsx"


def percentages(path: Path) -> Path:
    """Percent done, as a spreadsheet stores them: shares of 1 shown with %."""
    rows = [[d, p, n / 100] for p, d, n in percent()]
    sheets = {"Log": [["Date", "Project", "% done"], *rows], "Projects": pieces_sheet()}
    save_xlsx(path / "percent.xlsx", sheets, form="0.0%")
    return path / "percent.xlsx"


def french(path: Path) -> Path:
    """French words, tabs, days as 20/01/26, a decimal comma."""
    rows = [[f"{d:%d/%m/%y}", p, f"{n:.1f}".replace(".", ","), "1h20"] for p, d, n in LIFE]
    save_text(path / "points.tsv", [["Date", "Ouvrage", "Points", "Durée"], *rows], "\t", "utf-16")
    return path / "points.tsv"


def merged_days(path: Path) -> Path:
    """The day merged over the sessions of it, stitches as people write them."""
    rows: Rows = [["Fecha", "Proyecto", "Puntadas"]]
    merged = []
    for day, group in groupby(LIFE, key=lambda s: s[1]):
        told = list(group)
        if len(told) > 1:
            merged.append(f"A{len(rows) + 1}:A{len(rows) + len(told)}")
        rows += [[day if n == 0 else None, p, f"~{amount:.0f}"] for n, (p, _, amount) in enumerate(told)]
    save_xlsx(path / "merged.xlsx", {"Hoja1": rows, "Gráfico": [["Puntadas al mes"], ["enero"]]}, {"Hoja1": merged})
    return path / "merged.xlsx"


MAKES = (
    *(long_with_titles, german, a_column_a_piece, old_binary, month_first, a_row_a_piece, a_sheet_a_piece),
    *(a_sheet_a_month, a_month_across, counts_so_far, wide_so_far, percentages, french, merged_days),
)

if __name__ == "__main__":
    for make in MAKES:
        print(make(Path(sys.argv[1])))
