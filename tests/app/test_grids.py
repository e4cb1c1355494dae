"""A grid keeps what was typed into it while the case goes from valid to faulty and back."""

import json
import re
from dataclasses import replace
from functools import cache, partial

import pytest
from streamlit.testing.v1 import AppTest

from optioneer.app.engine.drafts import new_draft
from optioneer.app.engine.heads import in_words
from optioneer.app.parts.references import in_cell, names_in, several, table_of
from optioneer.app.session.state import Session
from optioneer.app.views.case_page import AS_TEXT, edits_of
from optioneer.files.grid.sheet_list import GROUPS, SHEETS
from optioneer.files.grid.sheets import VALUE, Edits, columns_in, rows, with_edits
from tests.app.cells import Cell, changed, filled, full_case, typing
from tests.app.visits import current, draft_of, visit
from tests.patience import PATIENCE

FULL = full_case()


def case_page() -> None:
    from optioneer.app.views import case_page  # noqa: PLC0415 - the source of this is the script

    case_page.page()


def opened(word: str, texts: dict[str, str]) -> AppTest:
    """The page of the case with a sheet on the screen."""
    test = AppTest.from_function(case_page, default_timeout=PATIENCE)
    test.session_state["optioneer"] = Session(draft=new_draft("mill-turn", texts))
    part = next(part for part, sheets in GROUPS.items() if SHEETS[word] in sheets)
    test.session_state["part"] = part
    test.session_state[f"table-{part}"] = word
    test.run()
    assert not test.exception
    assert test.subheader[0].value == SHEETS[word].title
    return test


def become(test: AppTest, texts: dict[str, str]) -> None:
    """As a callback does that takes an edit of the grid."""
    session: Session = test.session_state["optioneer"]
    assert session.draft is not None
    test.session_state["optioneer"] = replace(session, draft=session.draft.with_texts(texts))
    test.run()
    assert not test.exception


def identity(test: AppTest) -> str:
    """What the framework knows a grid by: with another one it forgets what was typed."""
    (grid,) = test.data_editor
    return str(grid.proto.id)


@pytest.mark.parametrize("word", SHEETS)
def test_the_grid_on_the_screen_is_the_same_one_while_there_are_faults(word: str) -> None:
    texts = filled(word)
    sheet, typed = SHEETS[word], typing(SHEETS[word], texts)
    test = opened(word, texts)
    before = identity(test)
    become(test, changed(sheet, texts, typed.kept, typed.slip))
    assert test.warning
    assert identity(test) == before
    become(test, changed(sheet, texts, typed.kept, typed.mended))
    assert not test.warning
    assert identity(test) == before


def test_a_grid_that_becomes_another_one_starts_from_what_was_typed() -> None:
    sheet = SHEETS["bundles"]
    test = opened("bundles", FULL)
    before = identity(test)
    typed = changed(sheet, FULL, typing(sheet, FULL).kept)
    money = typed["machine.toml"].replace('currency = "USD"', 'currency = "CAD"')
    become(test, {**typed, "machine.toml": money})
    assert identity(test) != before
    base = test.session_state["optioneer"].base
    assert rows(sheet, base.texts) == rows(sheet, typed)


def test_a_grid_looked_at_after_the_text_of_its_file_was_changed_starts_from_that_text() -> None:
    test = opened("options", FULL)
    test.segmented_control(key="part").set_value(AS_TEXT).run()
    test.button_group(key="file").set_value("Options").run()
    area = test.text_area[0]
    area.set_value(str(area.value).replace("tool-magazine-40", "tool-magazine-44")).run()
    test.segmented_control(key="part").set_value("Options *").run()
    assert "tool-magazine-44" in current(test).texts["options.csv"]
    assert rows(SHEETS["options"], test.session_state["optioneer"].base.texts) == rows(
        SHEETS["options"], current(test).texts
    )


def test_a_page_that_was_never_faulty_says_so() -> None:
    assert not visit(case_page, draft_of(FULL)).warning


def test_cells_that_say_other_rows_are_chosen_by_name_and_kept_by_short_name() -> None:
    bundles, names = SHEETS["bundles"], names_in("options", FULL)
    assert names["automatic-door"] == "Automatic door with safety edge"
    assert {table_of(bundles, "options"), table_of(SHEETS["ways"], "of")} == {"options", "streams"}
    assert table_of(SHEETS["steps"], "after") == ""
    edits = edits_of(
        bundles, {"edited_rows": {0: {"options": ["automatic-door", "data-port"]}}}, FULL
    )
    kept = rows(bundles, with_edits(bundles, FULL, edits))
    assert kept[0]["options"] == "automatic-door; data-port"


def test_every_row_that_a_cell_of_a_demo_says_is_there_to_be_chosen() -> None:
    names = cache(partial(names_in, texts=FULL))
    for word, sheet in SHEETS.items():
        for row in rows(sheet, FULL) if sheet.many else ():
            for key, text in row.items():
                if table_of(sheet, key) in {"", "tasks"}:  # the usual tasks are known unlisted
                    continue
                said = in_cell(text) if several(sheet, key) else [text]
                assert set(said) - {"", "-"} <= names(table_of(sheet, key)).keys(), word


def test_two_rows_of_one_name_are_told_apart_by_their_short_names() -> None:
    other = FULL["options.csv"].replace("40-pocket tool magazine", "80-pocket tool magazine")
    names = names_in("options", {**FULL, "options.csv": other})
    assert names["tool-magazine-80"] == "80-pocket tool magazine (tool-magazine-80)"
    assert names_in("options", {**FULL, "options.csv": '"'}) == {}


def test_a_figure_that_says_other_rows_is_shown_and_typed_by_name_and_kept_by_short_name() -> None:
    use, plan, names = SHEETS["use"], SHEETS["plan"], names_in("plans", FULL)
    texts = changed(use, FULL, Cell(0, VALUE, "bank"))
    test = opened("use", texts)
    (row,) = test.data_editor[0].value.to_dict("records")
    assert row[VALUE] == names["bank"] == "Bank loan over five years"
    assert "One of: The dealer's stages; Bank loan over five years" in row["meaning"]
    edits = edits_of(use, {"edited_rows": {0: {VALUE: "lease over six years"}}}, texts)
    assert rows(use, with_edits(use, texts, edits))[0][VALUE] == "lease"
    place = [column.key for column in columns_in(plan)].index("reserve_for")
    typed = "Signal tower, four colours; Automatic door with safety edge; nothing known"
    edits = edits_of(plan, {"edited_rows": {place: {VALUE: typed}}}, texts)
    assert edits.changed[place] == {VALUE: "signal-tower; automatic-door; nothing known"}


def test_a_slip_in_a_figure_that_says_another_row_is_told_with_the_names_that_may_stand_there() -> (
    None
):
    test = opened("use", changed(SHEETS["use"], FULL, Cell(0, VALUE, "nix")))
    (row,) = test.data_editor[0].value.to_dict("records")
    assert row["meaning"].startswith(
        "To mend: there is no plan 'nix'. Allowed: The dealer's stages"
    )


def test_a_row_that_is_added_is_offered_by_name_in_its_own_grid_when_asked_for() -> None:
    test = opened("options", FULL)
    assert "names-anew" not in {button.key for button in test.button}
    line = {"option": "coffee", "name": "Coffee machine", "price": "900", "fitting": "factory-only"}
    become(test, with_edits(SHEETS["options"], FULL, Edits(added=[line])))
    before = identity(test)
    test.button(key="names-anew").click().run()
    assert identity(test) != before
    config = json.loads(test.data_editor[0].proto.columns)
    offered = config["requires"]["type_config"]["options"]
    assert {"value": "coffee", "label": "Coffee machine"} in offered


def test_figures_stand_at_the_right_in_sheets_of_single_figures_and_in_lists() -> None:
    for word in ("machine", "dates", "account", "options"):
        config = json.loads(opened(word, FULL).data_editor[0].proto.columns)
        assert config[VALUE if not SHEETS[word].many else "price"]["alignment"] == "right"
    assert (
        json.loads(opened("use", FULL).data_editor[0].proto.columns)[VALUE].get("alignment") is None
    )


def test_what_a_column_means_is_told_without_ids_and_keys() -> None:
    for word, sheet in SHEETS.items():
        for column in columns_in(sheet):
            said = in_words(column.help).replace("`", "")
            assert not re.search(r"\b[Ii]ds?\b|\bkebab|\b[Kk]eys?\b|\w_\w", said), (word, said)
