"""What is different between two sealed decisions."""

from collections.abc import Iterator
from difflib import unified_diff

from optioneer.study.answer import Answer
from optioneer.study.record.facts import Sealed


class Differences(Answer):
    """Two decisions side by side."""

    added: tuple[str, ...] = ()
    dropped: tuple[str, ...] = ()
    verdicts: tuple[tuple[str, str, str], ...] = ()
    files: tuple[tuple[str, tuple[str, ...]], ...] = ()

    @property
    def none(self) -> bool:
        """Whether there is nothing but perhaps time and note."""
        return not (self.added or self.dropped or self.verdicts or self.files)


def differences(before: Sealed, after: Sealed) -> Differences:
    """What `after` has other than `before`: options, verdicts, lines of the files.

    Parameters
    ----------
    before, after
        Two decisions of one case.

    Returns
    -------
    Differences
        Options on the machine that were added and dropped; option, verdict before and after; by
        file the lines taken out (``-``) and put in (``+``).
    """
    old, new = before.package.options, after.package.options
    return Differences(
        added=tuple(one for one in new if one not in old),
        dropped=tuple(one for one in old if one not in new),
        verdicts=tuple(_verdicts(before, after)),
        files=tuple(_files(before, after)),
    )


def _verdicts(before: Sealed, after: Sealed) -> Iterator[tuple[str, str, str]]:
    old = {one.option: one.verdict for one in before.advice.options} if before.advice else {}
    new = {one.option: one.verdict for one in after.advice.options} if after.advice else {}
    for option in dict.fromkeys([*old, *new]):
        was, now = old.get(option, "not there"), new.get(option, "not there")
        if was != now:
            yield option, was, now


def _files(before: Sealed, after: Sealed) -> Iterator[tuple[str, tuple[str, ...]]]:
    for name in dict.fromkeys([*before.inputs, *after.inputs]):
        old = before.inputs.get(name, "").splitlines()
        new = after.inputs.get(name, "").splitlines()
        lines = tuple(unified_diff(old, new, lineterm="", n=0))[2:]
        changed = tuple(line for line in lines if not line.startswith("@@"))
        if changed:
            yield name, changed
