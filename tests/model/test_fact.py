"""What every fact does."""

from tests.oracle.cases import case_of, option


def test_a_changed_copy_forgets_what_was_worked_out_before() -> None:
    catalogue = case_of([option("old", 1e3)], []).catalogue
    assert list(catalogue.by_id) == ["old"]
    changed = catalogue.model_copy(update={"options": (option("new", 1e3),)})
    assert list(changed.by_id) == ["new"]
    assert [slot.name for slot in changed.slots] == ["new"]
