"""What is kept on disk between commands: whole or not at all."""

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from typer.testing import CliRunner

from optioneer.cli import app
from optioneer.files.cache import DIGEST, Folder, engine_mark, kept_folder
from optioneer.valuation.cache import swept
from optioneer.valuation.cache.memory import MEMORY
from tests.cases_as_texts import few
from tests.cases_as_texts import mill as mill_texts
from tests.lessons import few_lessons

ARRAYS = {"x": np.arange(12.0).reshape(3, 4), "moves": np.arange(5, dtype=np.uint8)}


def test_what_was_put_there_comes_back_to_the_last_bit(tmp_path: Path) -> None:
    folder = Folder(tmp_path / "kept")
    assert folder.get("a") is None
    folder.put("a", ARRAYS)
    found = folder.get("a")
    assert found is not None
    assert found.keys() == ARRAYS.keys()
    for name, array in ARRAYS.items():
        assert np.array_equal(found[name], array)
        assert found[name].dtype == array.dtype


@pytest.mark.parametrize(
    "array",
    [
        np.arange(12.0).reshape(3, 4).T,
        np.arange(24, dtype=np.int32).reshape(2, 3, 4)[:, ::2],
        np.empty((0, 0), dtype=np.int32),
        np.array([True, False]),
        np.array(2.5),
    ],
    ids=["columns", "strided", "nothing", "truths", "one"],
)
def test_it_lies_in_memory_as_it_did(tmp_path: Path, array: NDArray[Any]) -> None:
    """Sums along rows and columns come out the same to the last bit."""
    folder = Folder(tmp_path)
    folder.put("a", {"x": array, "y": np.arange(3.0)})
    found = folder.get("a")
    assert found is not None
    assert np.array_equal(found["x"], array)
    assert (found["x"].dtype, found["x"].shape) == (array.dtype, array.shape)
    assert found["x"].flags.fnc == array.flags.fnc
    assert np.array_equal(found["y"], np.arange(3.0))


@pytest.mark.parametrize("place", [0, DIGEST - 1, DIGEST, DIGEST + 40, 300, -1])
def test_a_damaged_file_is_as_good_as_none(tmp_path: Path, place: int) -> None:
    folder = Folder(tmp_path)
    folder.put("a", ARRAYS)
    (file,) = tmp_path.iterdir()
    data = bytearray(file.read_bytes())
    data[place] ^= 1
    file.write_bytes(data)
    assert folder.get("a") is None
    assert not file.exists()


@pytest.mark.parametrize("left", [0, 10, DIGEST, 200])
def test_so_is_a_file_of_which_the_end_is_missing(tmp_path: Path, left: int) -> None:
    folder = Folder(tmp_path)
    folder.put("a", ARRAYS)
    (file,) = tmp_path.iterdir()
    file.write_bytes(file.read_bytes()[:left])
    assert folder.get("a") is None


def test_what_was_asked_for_least_lately_makes_room_on_disk(tmp_path: Path) -> None:
    Folder(tmp_path).put("a", ARRAYS)
    (file,) = tmp_path.iterdir()
    folder = Folder(tmp_path, most=int(2.5 * file.stat().st_size))
    folder.put("b", ARRAYS)
    for age, name in enumerate(("b", "a")):
        os.utime(tmp_path / f"{name}.kept", (1e9 + age, 1e9 + age))
    folder.put("c", ARRAYS)
    assert {each.stem for each in tmp_path.iterdir()} == {"a", "c"}


def test_a_disk_that_takes_nothing_costs_no_answer(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder", encoding="utf-8")
    folder = Folder(tmp_path / "file" / "kept")
    folder.put("a", ARRAYS)
    assert folder.get("a") is None


def test_several_processes_share_a_folder(tmp_path: Path) -> None:
    code = (
        "import sys, numpy as np\n"
        "from pathlib import Path\n"
        "from optioneer.files.cache import Folder\n"
        "folder = Folder(Path(sys.argv[1]), most=30000)\n"
        "for i in range(60):\n"
        "    folder.put(str(i % 7), {'x': np.full(500, float(i % 7))})\n"
        "    found = folder.get(str((i + 3) % 7))\n"
        "    assert found is None or (found['x'] == (i + 3) % 7).all()\n"
    )
    command = [sys.executable, "-c", code, str(tmp_path)]
    running = [subprocess.Popen(command) for _ in range(3)]
    assert [each.wait() for each in running] == [0, 0, 0]
    assert not [each for each in tmp_path.iterdir() if each.suffix != ".kept"]


def test_the_user_says_where_and_whether() -> None:
    assert kept_folder({"OPTIONEER_CACHE": "off", "HOME": "/h"}) is None
    assert kept_folder({"OPTIONEER_CACHE": "/somewhere"}) == Path("/somewhere")
    assert kept_folder({}) is None
    if sys.platform == "linux":
        assert kept_folder({"HOME": "/h"}) == Path("/h/.cache/optioneer")
        assert kept_folder({"HOME": "/h", "XDG_CACHE_HOME": "/c"}) == Path("/c/optioneer")


def test_after_advise_no_command_values_anything_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A new process, as far as memory goes, answers from the folder alone: the same to the byte."""
    kept = tmp_path / "kept"
    monkeypatch.setenv("OPTIONEER_CACHE", str(kept))
    for name, text in few(mill_texts(64)).items():
        (tmp_path / "mill").mkdir(exist_ok=True)
        (tmp_path / "mill" / name).write_text(text, encoding="utf-8")
    mill = str(tmp_path / "mill")
    asked = [["advise", mill, "--no-proof"], ["cash", mill], ["calendar", mill]]
    asked[2] += ["--out", str(tmp_path / "dates.ics")]
    run = CliRunner().invoke
    with few_lessons():
        first = [run(app, each) for each in asked]
    assert [each.exit_code for each in first] == [0, 0, 0], first[-1].output
    assert len(list((kept / engine_mark()).iterdir())) > 1

    def refused(*_: object) -> None:
        raise AssertionError("valued again")

    monkeypatch.setattr(swept, "costs_after_order", refused)
    MEMORY.forget()
    with few_lessons():
        assert [run(app, each).output for each in asked] == [each.output for each in first]
