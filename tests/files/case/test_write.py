"""Writing a case back."""

import re
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings

from optioneer.errors import CaseError, RequestError
from optioneer.files.case.read import read_case
from optioneer.files.case.write import write_case
from optioneer.model.case import Case
from tests.files.folders import contents, edit, starter
from tests.files.random_cases import NAME, cases

DEMOS = Path(__file__).parents[3] / "catalogs_demo"
SLOW = settings(max_examples=40, suppress_health_check=list(HealthCheck), deadline=None)


def changed_lines(before: bytes, after: bytes) -> list[str]:
    old = before.decode().splitlines()
    return [line for line in after.decode().splitlines() if line not in old]


def with_growth(case: Case, **changes: object) -> Case:
    return case.model_copy(update={"growth": case.growth.model_copy(update=changes)})


def with_option(case: Case, option_id: str, **changes: object) -> Case:
    options = tuple(
        option.model_copy(update=changes) if option.option == option_id else option
        for option in case.catalogue.options
    )
    return with_options(case, options)


def with_options(case: Case, options: object) -> Case:
    return case.model_copy(
        update={"catalogue": case.catalogue.model_copy(update={"options": options})}
    )


@SLOW
@given(cases())
def test_a_case_written_to_a_new_folder_is_read_back_the_same(case: Case) -> None:
    with TemporaryDirectory() as place:
        folder = Path(place) / NAME
        write_case(case, folder)
        assert read_case(folder) == case


@settings(SLOW, max_examples=25)
@given(cases(), cases())
def test_a_case_written_over_another_is_read_back_the_same(first: Case, second: Case) -> None:
    with TemporaryDirectory() as place:
        folder = Path(place) / NAME
        write_case(first, folder)
        write_case(second, folder)
        assert read_case(folder) == second


@settings(SLOW, max_examples=20)
@given(cases())
def test_a_remark_at_the_top_survives_every_change(case: Case) -> None:
    with TemporaryDirectory() as place:
        folder = starter(Path(place))
        for file in ("machine.toml", "growth.toml"):
            head = (folder / file).read_text(encoding="utf-8").splitlines()[0]
            write_case(case, folder)
            assert (folder / file).read_text(encoding="utf-8").startswith(head)
        assert read_case(folder) == case


@pytest.mark.parametrize("demo", ["mill-turn", "small-mill", ""])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_an_unchanged_case_keeps_every_byte(
    tmp_path: Path, demo: str, end: bytes, mark: bytes
) -> None:
    folder = starter(tmp_path)
    if demo:
        (folder / "sources.csv").unlink()  # demos do not say where their figures are from
    for path in folder.iterdir():
        data = (DEMOS / demo / path.name if demo else path).read_bytes()
        path.write_bytes(mark + data.replace(b"\n", end))
    before = contents(folder)
    write_case(read_case(folder), folder)
    assert contents(folder) == before


@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
def test_a_changed_number_changes_one_line_and_keeps_its_remark(tmp_path: Path, end: bytes) -> None:
    folder = starter(tmp_path)
    for path in folder.iterdir():
        path.write_bytes(path.read_bytes().replace(b"\n", end))
    before = contents(folder)
    write_case(with_growth(read_case(folder), seed=8), folder)
    after = contents(folder)
    assert changed_lines(before["growth.toml"], after["growth.toml"]) == [
        "seed = 8                         # the same seed draws the same futures"
    ]
    assert after["growth.toml"].count(end) == before["growth.toml"].count(end)
    assert after["machine.toml"] == before["machine.toml"]
    assert after["options.csv"] == before["options.csv"]


def test_streams_are_moved_and_dropped_whole_with_the_remarks_above_them(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    edit(folder, "growth.toml", ('[[stream]]\nid = "deep', '# deep ones\n[[stream]]\nid = "deep'))
    edit(folder, "growth.toml", ('[[stream]]\nid = "five', '# five ones\n[[stream]]\nid = "five'))
    case = read_case(folder)
    kept = [stream for stream in case.growth.stream if stream.id != "five-sides"]
    wanted = with_growth(case, stream=tuple(reversed(kept)))
    write_case(wanted, folder)
    text = (folder / "growth.toml").read_text(encoding="utf-8")
    assert read_case(folder) == wanted
    assert '# deep ones\n[[stream]]\nid = "deep-holes"' in text
    assert "five ones" not in text
    assert text.index("deep-holes") < text.index("robot-work")


def test_inline_tables_and_lists_over_lines_stay_as_they_were_written(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    inline = 'way = [ { options = ["fourth-axis"] } ] # inline'
    tall = 'options = [\n  "robot-interface", # cell\n  "auto-door",\n]'
    edit(folder, "growth.toml", ('[[stream.way]]\noptions = ["fourth-axis"]', inline))
    edit(folder, "growth.toml", ('options = ["robot-interface", "auto-door"]', tall))
    case = read_case(folder)
    streams = tuple(stream.model_copy(update={"chance": 0.25}) for stream in case.growth.stream)
    wanted = with_growth(case, stream=streams)
    write_case(wanted, folder)
    text = (folder / "growth.toml").read_text(encoding="utf-8")
    assert read_case(folder) == wanted
    assert inline in text
    assert tall in text


def test_lines_that_look_like_headings_inside_texts_stay(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    tall = "years = [\n[[1.0, 2.5, 6.0]][0][0]\n]".replace("[[1.0, 2.5, 6.0]][0][0]", "1.0,2.5,6.0")
    edit(folder, "growth.toml", ("years = [1.0, 2.5, 6.0]", tall))
    kind = 'kind = """\\\n[machine]\\\n"""'
    edit(folder, "machine.toml", ('kind = "vertical machining centre"', kind))
    case = read_case(folder)
    assert case.machine.kind == "[machine]"
    wanted = case.model_copy(
        update={"machine": case.machine.model_copy(update={"base_price": 1234567.5})}
    )
    write_case(wanted, folder)
    assert read_case(folder) == wanted
    assert kind in (folder / "machine.toml").read_text(encoding="utf-8")


def test_a_changed_cell_leaves_the_other_rows_and_cells_as_they_are(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    edit(
        folder,
        "options.csv",
        ("work-probe,Work probe,,4600,,,,", "work-probe,Work probe,,4600.00,,no,,"),
    )
    edit(
        folder,
        "options.csv",
        ("spindle-12k,Spindle", 'spindle-12k,"Spindle'),
        ("000 rpm", '000 rpm"'),
    )
    before = contents(folder)
    wanted = with_option(read_case(folder), "work-probe", downtime_days=2.5)
    write_case(wanted, folder)
    assert read_case(folder) == wanted
    (line,) = changed_lines(before["options.csv"], contents(folder)["options.csv"])
    assert line.startswith(
        "work-probe,Work probe,,4600.00,,no,,retrofittable,1.2,1.4,2,,,,,controls,2.5,"
    )


def test_a_table_keeps_its_separator_its_decimal_comma_and_the_order_of_its_columns(
    tmp_path: Path,
) -> None:
    folder = starter(tmp_path)
    text = (
        "fitting;option;price;name;multiplier_low;multiplier_likely;multiplier_high\r\n"
        "retrofittable;probe;4600,50;Probe;1,5;1,5;1,5\r\n"
        "\r\n"
        "factory-only;door;3600;Door;;;"
    )
    (folder / "options.csv").write_bytes(text.encode())
    edit(folder, "machine.toml", (machine_lists(folder), ""))
    (folder / "growth.toml").write_text("horizon_years = 5\ndiscount_rate = 0.1\n")
    case = with_option(read_case(folder), "probe", price=4700.25, requires=("door",))
    write_case(case, folder)
    assert read_case(folder) == case
    assert (folder / "options.csv").read_bytes().decode() == (
        "fitting;option;price;name;multiplier_low;multiplier_likely;multiplier_high;requires\r\n"
        "retrofittable;probe;4700,25;Probe;1,5;1,5;1,5;door\r\n"
        "\r\n"
        "factory-only;door;3600;Door;;;;"
    )


def test_a_table_whose_prices_alone_have_a_decimal_comma_keeps_it(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    text = "option;name;fitting;price\nprobe;Probe;factory-only;4600,50\n"
    (folder / "options.csv").write_text(text, encoding="utf-8")
    edit(folder, "machine.toml", (machine_lists(folder), ""))
    (folder / "growth.toml").write_text("horizon_years = 5\ndiscount_rate = 0.1\n")
    write_case(with_option(read_case(folder), "probe", price=4700.25), folder)
    assert (folder / "options.csv").read_text(encoding="utf-8") == text.replace(
        "4600,50", "4700,25"
    )


def machine_lists(folder: Path) -> str:
    """The bundles and packages of the starter case, as they stand in its file."""
    text = (folder / "machine.toml").read_text(encoding="utf-8")
    found = re.search(r"\[\[bundle\]\].*?(?=\n# The columns)", text, re.DOTALL)
    assert found
    return found[0]


def test_options_are_added_dropped_and_reordered_with_their_rows_as_they_were(
    tmp_path: Path,
) -> None:
    folder = starter(tmp_path)
    before = (folder / "options.csv").read_text(encoding="utf-8").splitlines()
    case = read_case(folder)
    fresh = case.catalogue.by_id["auto-door"].model_copy(update={"option": "second-door"})
    kept = [option for option in case.catalogue.options if option.option != "robot-prepared"]
    eased = [o.model_copy(update={"eased_by": None, "eased": None}) for o in kept]
    wanted = with_options(case, (fresh, *reversed(eased)))
    write_case(wanted, folder)
    after = (folder / "options.csv").read_text(encoding="utf-8").splitlines()
    assert read_case(folder) == wanted
    assert after[0] == before[0]
    assert after[1] == before[9].replace("auto-door", "second-door")
    assert set(before) - set(after) == {before[7], before[8]}


def test_a_formula_in_a_name_is_written_inert_and_read_back(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    wanted = with_option(read_case(folder), "work-probe", name="=cmd()", note="'+1")
    write_case(wanted, folder)
    assert read_case(folder) == wanted
    assert "work-probe,'=cmd()," in (folder / "options.csv").read_text(encoding="utf-8")


def test_a_case_with_faults_is_not_written(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    before = contents(folder)
    with pytest.raises(CaseError, match="there is no option 'nothing'"):
        write_case(with_option(read_case(folder), "work-probe", requires=("nothing",)), folder)
    assert contents(folder) == before


def test_a_folder_that_holds_something_else_is_left_alone(tmp_path: Path) -> None:
    case = read_case(starter(tmp_path))
    other = tmp_path / "other"
    other.mkdir()
    (other / "letter.txt").write_text("dear", encoding="utf-8")
    with pytest.raises(RequestError, match="holds something else than a case"):
        write_case(case, other)
    assert contents(other) == {"letter.txt": b"dear"}


def test_a_case_with_faults_on_the_disk_is_not_written_over(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    case = read_case(folder)
    edit(folder, "growth.toml", ("chance = 0.45", "chance = 45"))
    before = contents(folder)
    with pytest.raises(RequestError, match=r"mend them first\. growth\.toml, stream 'robot-work'"):
        write_case(case, folder)
    assert contents(folder) == before


def test_files_of_other_parts_and_strangers_stay(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    (folder / "quote.pdf").write_bytes(b"%PDF")
    write_case(with_growth(read_case(folder), seed=9), folder)
    assert (folder / "quote.pdf").read_bytes() == b"%PDF"
