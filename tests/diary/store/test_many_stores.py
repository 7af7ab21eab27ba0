"""Many diaries at once, asked by a general-purpose engine that reads Parquet (DuckDB), as the README says."""

import re
from pathlib import Path

import duckdb

from stitchlog.diary import store

ROOT = Path(__file__).parents[3]


def test_the_query_in_the_readme_sums_each_diary(tmp_path, monkeypatch):
    for name, counts in {"first-diary": [120, 30], "second-diary": [7]}.items():
        folder = tmp_path / name
        folder.mkdir()
        rows = "".join(f"Fern Clock,2026-10-0{i + 1},{n}\n" for i, n in enumerate(counts))
        (folder / "diary.csv").write_text("piece,date,stitches\n" + rows)
        store.ingest(folder)
    query = re.search(r"```sql\n(.*?)```", (ROOT / "README.md").read_text("utf-8"), re.DOTALL)[1]
    monkeypatch.chdir(tmp_path)
    found = {Path(name).parts[-3]: total for name, total in duckdb.sql(query).fetchall()}
    assert found == {"first-diary": 150.0, "second-diary": 7.0}
