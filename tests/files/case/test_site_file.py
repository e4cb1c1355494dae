from pathlib import Path

import pytest

from optioneer.files.case.read import read_case, reading
from optioneer.files.case.write import write_case
from optioneer.files.workbook.reading import workbook_case
from optioneer.reports.sheets.entry import entry_workbook
from tests.files.folders import edit, refused, starter

DEMOS = Path(__file__).parents[3] / "catalogs_demo"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("supply_v = 400.0", 'supply_v = "400 kg"', "site.toml, shop, supply_v: '400 kg' is no"),
        ("supply_v = 400.0", "supply_v = -1.0", "site.toml, shop, supply_v: -1 is not above zero"),
        ("supply_v =", "supply_volts =", "site.toml, shop: 'supply_volts' is not a known key"),
        ("[crew]", "[crowd]", "site.toml: 'crowd' is not a known key"),
        ("[2, 3, 5]          # low", "[3, 2, 5]  # low", "item 'drill-press'"),
        (
            'kind = "compressor"',
            'kind = "pump"',
            "supply 'compressor-2', kind: 'pump' is not known",
        ),
        ('supplier = "air-dealer"', 'supplier = "nobody"', "there is no supplier 'nobody'"),
        ('to = ["wall"]', 'to = ["corner"]', "'corner' would be shared with the new machine"),
        ("hours_per_day = 4.0", "# hours", "crew, hours_per_day: is missing"),
        ("load_bar = 7.0", "load_bar = 8.5", "load_bar 8.5 is not below unload_bar 8"),
        ("[10, 20, 40]", "[10, 40, 20]", "lead_days"),
        ("deposit = 0.0", "deposit = 30", "supplier 'air-dealer', deposit: 30 is above 1"),
        ('size = "small"', 'size = "tiny"', "plan, size: 'tiny' is not known here"),
        (
            'trades = ["electrician"]',
            'trades = ["electrician", "electrician"]',
            "item 'drill-press', trades: 'electrician' is named twice. Name it once.",
        ),
        (
            'id = "pipefitter"',
            'id = "own-crew"',
            "trade 'own-crew': the shop's own people go by this id. Give the trade another.",
        ),
        ("delivery_l_min = 600.0", "", "delivery_l_min: is missing"),
        # a compressor that delivers nothing ended in a division by zero
        ("delivery_l_min = 600.0", "delivery_l_min = 0.0", "delivery_l_min: 0 is not above zero"),
        ("# cycles_per_hour = 30.0", "cycles_per_hour = 0.0", "cycles_per_hour: 0 is not above"),
        ("# poles = 4", "poles = 3", "poles"),
        ("# diversity = 1.0", "diversity = 0.5", "diversity: 0.5 is below 1"),
    ],
)
def test_a_mistake_names_file_key_and_what_was_found(
    tmp_path: Path, old: str, new: str, said: str
) -> None:
    folder = starter(tmp_path)
    edit(folder, "site.toml", (old, new))
    assert said in refused(folder)


def test_a_wrong_word_in_a_list_is_told_with_the_words_that_are_allowed(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    edit(folder, "site.toml", ('"wed", ', '"weds", '))
    said = refused(folder)
    assert "'weds' is not known here. Did you mean 'wed'?" in said
    assert "typing" not in said


def test_figures_with_units_of_their_own_are_read(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    edit(folder, "site.toml", ("present_l_min = 300.0", 'present_l_min = "10 cfm"'))
    site = read_case(folder).site
    assert site is not None
    assert site.air.present_l_min == pytest.approx(283.17, abs=0.01)


def test_what_is_left_out_stays_none(tmp_path: Path) -> None:
    site = read_case(starter(tmp_path)).site
    assert site is not None
    assert site.needs.air_l_min is None
    assert site.shop.floor_limit_kg_m2 is None


@pytest.mark.parametrize("name", ["mill-turn", "small-mill"])
def test_the_demos_have_a_site_without_notices(name: str) -> None:
    read = reading(DEMOS / name)
    assert read.case.site is not None
    assert [note for note in read.notices if "site" in note.where] == []


@pytest.mark.parametrize("name", ["mill-turn", "small-mill"])
def test_a_site_written_into_a_new_folder_reads_the_same(tmp_path: Path, name: str) -> None:
    case = read_case(DEMOS / name)
    write_case(case, tmp_path / name)
    assert read_case(tmp_path / name) == case


def test_a_case_without_a_site_writes_no_site_file(tmp_path: Path) -> None:
    case = read_case(starter(tmp_path)).model_copy(update={"site": None})
    write_case(case, tmp_path / "bare")
    assert not (tmp_path / "bare" / "site.toml").exists()


def test_a_site_that_a_case_no_longer_has_is_kept_aside(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    before = (folder / "site.toml").read_bytes()
    case = read_case(folder).model_copy(update={"site": None})
    write_case(case, folder)
    assert read_case(folder) == case
    assert (folder / "site.toml.old").read_bytes() == before


def test_a_changed_figure_leaves_the_remarks_of_the_file(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    case = read_case(folder)
    assert case.site is not None
    shop = case.site.shop.model_copy(update={"run_m": 31.0})
    site = case.site.model_copy(update={"shop": shop})
    write_case(case.model_copy(update={"site": site}), folder)
    text = (folder / "site.toml").read_text(encoding="utf-8")
    assert "run_m = 31.0" in text or "run_m = 31 " in text
    assert "# panel to machine, one way" in text


NEW_KEYS = (
    ("# conductor_a = 76.0", "conductor_a = 76.0"),
    ("# diversity = 1.0", "diversity = 1.4"),
    ("# largest_motor_a = 18.0", "largest_motor_a = 18.0"),
    ("# heating_a = 0.0", "heating_a = 3.0"),
    ("# line_m = 20.0", 'line_m = "60 ft"'),
    ("# line_mm = 27.3", "line_mm = 27.3"),
    ("# line_drop_bar = 0.1", "line_drop_bar = 0.2"),
    ("# motor_kw = 5.5", 'motor_kw = "10 HP"'),
    ("# poles = 4", "poles = 4"),
    ("# [[load]] ", "[[load]] "),
    ('# id = "lathes"', 'id = "lathes"'),
    ("# kva = 60.0 ", "kva = 60.0 "),
    ("# factor = 0.3 ", "factor = 0.3 "),
    ("peak_a = 70.0 ", "# peak_a = 70.0 "),
)


def test_loads_conductor_line_and_motor_are_read_and_written_back(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    edit(folder, "site.toml", *NEW_KEYS)
    case = read_case(folder)
    site = case.site
    assert site is not None
    assert [(load.id, load.kva, load.factor) for load in site.load] == [("lathes", 60.0, 0.3)]
    assert (site.shop.conductor_a, site.shop.diversity, site.shop.peak_a) == (76.0, 1.4, None)
    assert (site.needs.largest_motor_a, site.needs.heating_a) == (18.0, 3.0)
    assert site.air.line_m == pytest.approx(18.288)
    assert site.air.line_mm == 27.3
    assert site.air.compressor[0].motor_kw == pytest.approx(7.457, abs=1e-3)
    write_case(case, folder)
    assert read_case(folder) == case
    fresh = tmp_path / "fresh"
    write_case(case, fresh)
    assert read_case(fresh).site == site
    assert workbook_case(entry_workbook(case), name=case.name).case.site == site
