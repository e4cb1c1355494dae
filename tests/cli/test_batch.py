"""`optioneer batch`: a row for each case and set of changes, none lost, none twice."""

import csv
import io
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pandas as pd
import pytest
from typer.testing import CliRunner, Result

from optioneer.cli import app
from optioneer.cli.many import workers
from optioneer.files.batch import GrowingRows
from optioneer.files.case.demos import demo_folder
from optioneer.files.case.read import read_case
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.many import batch as study
from optioneer.study.problem import cores
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.changes import asked_change, with_changes

TABLE = "chance night-lots,horizon,price pallet-loader\n0.5,,\n,x0.5,\n,,-5\n,,\n"


@pytest.fixture
def table(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A table of changes; workers are threads, which start at once."""
    monkeypatch.setattr(workers, "processes", lambda count: ThreadPoolExecutor(count or 1))
    file = tmp_path / "changes.csv"
    file.write_text(TABLE, encoding="utf-8")
    return file


def run(table: Path, out: str = "rows.csv", *more: str) -> Result:
    mill = str(demo_folder("small-mill"))
    place = str(table.parent / out)
    asked = ["batch", mill, "no-such-case", "--changes", str(table), "--out", place]
    return CliRunner().invoke(app, [*asked, "--futures", "32", *more])


def rows(table: Path) -> list[dict[str, str]]:
    text = (table.parent / "rows.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(io.StringIO(text)))


def test_each_row_is_what_advise_says_of_the_changed_case(table: Path) -> None:
    answer = run(table)
    assert answer.exit_code == 0, answer.output
    found = rows(table)
    assert [row["row"] for row in found] == list("12345678")
    mill = with_draws(read_case(demo_folder("small-mill")), 32)
    changed = with_changes(mill, [asked_change("chance", "night-lots=0.5")])[0]
    best = advice(AdviceRequest(changed)).advised
    assert float(found[0]["npc"]) == best.npc
    assert float(found[0]["gain"]) == best.outcome.mean - best.outcome.not_buying
    assert found[0]["options"].split(";") == list(best.options)
    assert float(found[3]["npc"]) == advice(AdviceRequest(mill)).advised.npc


def test_what_is_wrong_is_told_in_its_row(table: Path) -> None:
    run(table)
    wrong = [row["error"] for row in rows(table)]
    assert [bool(each) for each in wrong] == [False, False, True, False, True, True, True, True]
    assert "-5 is not allowed" in wrong[2]
    assert "no such folder" in wrong[4]


def test_stopped_and_begun_again_it_loses_no_row_and_does_none_twice(
    table: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run(table).exit_code == 0
    whole = (table.parent / "rows.csv").read_bytes()
    done, add, real = list[int](), GrowingRows.add, study.batch_row

    def stopping(self: GrowingRows, name: str, row: study.BatchRow) -> None:
        if len(done) == 3:
            raise KeyboardInterrupt
        add(self, name, row)
        done.append(row.row)

    monkeypatch.setattr(GrowingRows, "add", stopping)
    (table.parent / "rows.csv").unlink()
    assert run(table).exit_code != 0
    part = table.parent / "rows.csv.part"
    assert part.exists()
    with part.open("a", encoding="utf-8") as file:
        file.write('{"name": "cut o')
    again = list[int]()

    def counting(errand: study.BatchErrand) -> study.BatchRow:
        again.append(errand.number)
        return real(errand)

    monkeypatch.setattr(GrowingRows, "add", add)
    monkeypatch.setattr(study, "batch_row", counting)
    assert run(table).exit_code == 0
    assert sorted(done + again) == [1, 2, 3, 4, 5, 6, 7, 8]
    assert (table.parent / "rows.csv").read_bytes() == whole
    assert not part.exists()


def test_rows_come_as_parquet_too(table: Path) -> None:
    assert run(table).exit_code == 0
    assert run(table, "rows.parquet").exit_code == 0
    found = pd.read_parquet(table.parent / "rows.parquet")
    assert list(found["npc"].dropna()) == [float(r["npc"]) for r in rows(table) if r["npc"]]


@pytest.mark.parametrize(
    ("heading", "told"), [("chanse night-lots", "names no figure"), ("", "no headings")]
)
def test_a_table_that_says_nothing_known_is_refused(table: Path, heading: str, told: str) -> None:
    table.write_text(f"{heading}\n1\n", encoding="utf-8")
    answer = run(table)
    assert answer.exit_code == 2
    assert told in answer.output
    assert not (table.parent / "rows.csv").exists()


def test_another_kind_of_file_is_refused(table: Path) -> None:
    answer = run(table, "rows.xlsx")
    assert answer.exit_code == 2
    assert "neither .csv nor .parquet" in answer.output


def test_a_worker_of_a_cluster_is_no_longer_looked_at_while_it_works(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    class Look:
        stopped = False

        def stop(self) -> None:
            self.stopped = True

    monkeypatch.setattr(cores, "_FEWER", [])
    looks = {"profile": Look(), "heartbeat": Look()}
    workers.work_alone(looks)
    assert [name for name, look in looks.items() if look.stopped] == ["profile"]
    assert cores._cores() == 1
