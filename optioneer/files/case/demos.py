"""The demo cases that come with the program; all of them are invented."""

from pathlib import Path

from optioneer.errors import RequestError, did_you_mean

_INSTALLED = Path(__file__).parent / "demos"
_SOURCES = Path(__file__).parents[3] / "catalogs_demo"


def demo_folders() -> tuple[Path, ...]:
    """The folders of the demo cases, by name; in the sources they stand beside the package."""
    home = _INSTALLED if _INSTALLED.is_dir() else _SOURCES
    if not home.is_dir():
        return ()
    return tuple(sorted(folder for folder in home.iterdir() if (folder / "machine.toml").is_file()))


def demo_called(folder: Path) -> str:
    """What people call a demo case.

    Examples
    --------
    >>> demo_called(Path("small-mill"))
    'small mill'
    """
    return folder.name.replace("-", " ")


def demo_folder(name: str) -> Path:
    """The folder of the demo case of this name.

    Raises
    ------
    RequestError
        There is none.
    """
    folders = {folder.name: folder for folder in demo_folders()}
    if name not in folders:
        raise RequestError(f"There is no demo case '{name}'. {did_you_mean(name, folders)}")
    return folders[name]
