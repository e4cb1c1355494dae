"""The files of a case as plain texts: taken out of folders and archives, put back, compared."""

import hashlib
import io
import zipfile
from collections.abc import Mapping
from pathlib import Path, PurePosixPath

from optioneer.errors import CaseError, Fault, RequestError
from optioneer.files.plain.lock import locked
from optioneer.files.plain.source import LARGEST_FILE
from optioneer.files.saving.commit import NAMES, write_files_atomically
from optioneer.files.saving.folder import new_folder
from optioneer.files.saving.folder_state import folder_state

MOST_MEMBERS, LARGEST_ARCHIVE, LARGEST_UNPACKED, LARGEST_RATIO = 200, 10_000_000, 50_000_000, 200
"""Archives beyond are not opened: files, bytes, bytes unpacked, times smaller than unpacked."""


def folder_texts(folder: Path) -> dict[str, str]:
    """The texts of a case folder by file name, with their byte order marks.

    Raises
    ------
    CaseError
        A file is there that cannot be read as text, or there is no file of a case.
    """
    state = folder_state(folder) if folder.is_dir() else None
    if state is None or not state.found:
        what = "holds no file of a case" if state else "there is no such folder"
        raise CaseError([Fault(str(folder), what, f"A case folder holds {', '.join(NAMES)}.")])
    return state.texts


def fingerprint(texts: Mapping[str, str]) -> str:
    """What tells two sets of texts apart."""
    digest = hashlib.sha256()
    for name, text in sorted(texts.items()):
        data = text.encode()
        digest.update(f"{name}\0{len(data)}\0".encode() + data)
    return digest.hexdigest()


def folder_fingerprint(folder: Path) -> str:
    """The fingerprint of what a folder holds now; '' where it cannot be read as a case."""
    try:
        return fingerprint(folder_texts(folder))
    except CaseError:
        return ""


def save_texts(texts: Mapping[str, str], folder: Path, *, opened: str) -> None:
    """Write the texts into a case folder that nobody has changed in the meantime.

    Parameters
    ----------
    texts
        New texts by file name; a file that is not among them is renamed to end in ``.old``.
    opened
        Fingerprint of what the folder held when it was opened, '' for a new one.

    Raises
    ------
    RequestError
        Somebody else changed the folder, or it cannot be written; it is as it was.
    """
    new = {name: text.encode() for name, text in texts.items()}
    with new_folder(folder), locked(folder):
        refuse_changed(folder, opened)
        gone = [name for name in NAMES if name not in texts and (folder / name).exists()]
        write_files_atomically(folder, new, aside=gone)


def refuse_changed(folder: Path, opened: str) -> None:
    """Refuse to write into a case that is not as it was; whoever asks holds its lock.

    Raises
    ------
    RequestError
        Somebody else changed or deleted it.
    """
    if opened and not any((folder / name).exists() for name in NAMES):
        raise RequestError(
            f"{folder}: this case was deleted or moved since it was opened here. Nothing was "
            "written. Save it into another folder."
        )
    if folder_fingerprint(folder) != opened:
        raise RequestError(
            f"{folder}: somebody else has changed this case since it was opened here. Nothing was "
            "written. Download your version, open the folder again and compare."
        )


def spoken_name(told: str, otherwise: str) -> str:
    r"""A name for a case out of the name of a file that somebody gave; never a place on the disk.

    Examples
    --------
    >>> spoken_name("..\\..\\my  mill.zip", "case")
    'my mill'
    >>> spoken_name("/", "case")
    'case'
    """
    stem = PurePosixPath(told.replace("\\", "/")).name.removesuffix(".zip").removesuffix(".xlsx")
    letters = "".join(letter if letter.isprintable() else " " for letter in stem)
    return " ".join(letters.split())[:100].strip(". ") or otherwise


def archive(texts: Mapping[str, str]) -> bytes:
    """The texts as a zip archive; the same texts give the same bytes."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as file:
        for name in sorted(texts):
            file.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), texts[name].encode())
    return held.getvalue()


def archive_texts(data: bytes) -> dict[str, str]:
    """The texts of the case in a zip archive, at its top or in a single folder.

    Only the files of a case are unpacked, and only in memory, so that no name in the archive can
    lead anywhere.

    Raises
    ------
    RequestError
        It is no archive, too large once unpacked, or holds no case.
    """
    if len(data) > LARGEST_ARCHIVE:
        raise RequestError(f"The archive is {len(data):,} bytes long; 10 MB are taken at most.")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as file:
            return _archive_texts(file)
    except RequestError:
        raise
    # An archive is input from outside; broken ones raise nearly anything.
    except Exception as error:
        raise RequestError("This is no zip archive, or a damaged one.") from error


def _archive_texts(file: zipfile.ZipFile) -> dict[str, str]:
    members = file.infolist()
    _refuse_bombs(members)
    chosen = _members(members)
    found = {}
    for name, member in chosen.items():
        with file.open(member) as inside:
            found[name] = _plain_text(name, inside.read(LARGEST_FILE + 1))
    if "machine.toml" not in found:
        raise RequestError(f"The archive holds no case. A case holds {', '.join(NAMES)}.")
    return found


def _refuse_bombs(members: list[zipfile.ZipInfo]) -> None:
    if len(members) > MOST_MEMBERS:
        raise RequestError(f"The archive holds {len(members)} files; {MOST_MEMBERS} are taken.")
    size = sum(member.file_size for member in members)
    packed = sum(member.compress_size for member in members)
    if size > LARGEST_UNPACKED or size > LARGEST_RATIO * max(packed, 1):
        raise RequestError(
            f"The archive would unpack to {size:,} bytes, which no case needs; it was not opened."
        )


def _members(members: list[zipfile.ZipInfo]) -> dict[str, zipfile.ZipInfo]:
    """The files of a case in an archive, by name.

    Raises
    ------
    RequestError
        A name leads out of the archive, or two files have one name.
    """
    found: dict[str, zipfile.ZipInfo] = {}
    for member in members:
        path = PurePosixPath(member.filename.replace("\\", "/"))
        if path.is_absolute() or ".." in path.parts or ":" in path.parts[0]:
            raise RequestError("The archive holds a name that leads out of it; it was not opened.")
        if path.name not in NAMES or member.is_dir() or "__MACOSX" in path.parts:
            continue
        if path.name in found:
            raise RequestError(f"The archive holds several files {path.name}; give one case.")
        found[path.name] = member
    return found


def _plain_text(name: str, data: bytes) -> str:
    if len(data) > LARGEST_FILE:
        raise RequestError(f"{name}: is too long; at most {LARGEST_FILE:,} bytes are read.")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise RequestError(f"{name}: is not UTF-8 text. Save it as UTF-8.") from error
    if "\0" in text:
        raise RequestError(f"{name}: holds a NUL byte, so it is no plain text.")
    return text
