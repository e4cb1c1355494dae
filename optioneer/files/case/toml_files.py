"""The TOML files of a case: the keys at their top, and what each contributes."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

from optioneer.files.case import growth_file, machine_file, paying_file, site_file
from optioneer.files.case.part import CasePart
from optioneer.files.plain.document import Document, document
from optioneer.files.plain.source import Source
from optioneer.forms.schema import GROWTH, MACHINE, PAYING, SITE


@dataclass(frozen=True)
class TomlFile:
    """How a file is read.

    Parameters
    ----------
    keys
        The keys that may stand at its top.
    part
        What its values contribute to a case.
    """

    keys: Collection[str]
    part: Callable[[Document], CasePart]


TOML_FILES: Mapping[str, TomlFile] = {
    MACHINE: TomlFile(machine_file.KEYS, machine_file.machine_part),
    GROWTH: TomlFile(growth_file.KEYS, growth_file.growth_part),
    PAYING: TomlFile(paying_file.KEYS, paying_file.paying_part),
    SITE: TomlFile(site_file.KEYS, site_file.site_part),
}
"""By name."""


def read_toml(source: Source) -> CasePart:
    """What a TOML file of a case contributes.

    Raises
    ------
    CaseError
        The text is not TOML.
    """
    file = TOML_FILES[source.name]
    return file.part(document(source, file.keys))
