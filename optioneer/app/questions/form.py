"""The fields of an answer, as the kind of figure asks; what they say, in the words of its rule."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import streamlit as st

from optioneer.app.engine.amounts import amount_typed
from optioneer.app.engine.words import literal
from optioneer.app.session import state
from optioneer.errors import RequestError
from optioneer.model.sources import figure_text
from optioneer.study.asking.answer_rules import BY_MONTH, RULES, STANDINGS
from optioneer.study.worth.figures import Figure, What

THREE: Mapping[What, tuple[str, str, str]] = {
    "margin": ("A bad month leaves", "A good month leaves", "A usual month leaves"),
    "years": ("At the earliest, years", "At the latest, years", "Likeliest, years"),
    "lasts-years": ("At least, years", "At most, years", "Likeliest, years"),
    "kept-years": ("At least, years", "At most, years", "Likeliest, years"),
}
"""Labels of figures that are told as a range first, then the likeliest."""

PERCENT = ("At least, percent", "At most, percent", "Likeliest, percent")

WORDS: Mapping[str, str] = {
    "have": "We have it",
    "promised": "It is promised",
    "quoted": "It is quoted",
    "talked": "It is talked about",
    "dreamt": "We dream of it",
}

NUDGES: Mapping[str, str] = {
    "-1": "Worse: as bad as one year in six is",
    "0": "As usual",
    "1": "Better: as good as one year in six is",
}

IN_WORDS, BY_QUOTES, BY_PERCENT = "In a word", "By our quotes", "In percent"

HELD: Mapping[str, str] = {
    "": "Eight times in ten",
    "50": "Five times in ten",
    "60": "Six times in ten",
    "70": "Seven times in ten",
    "90": "Nine times in ten",
}
"""How sure somebody is of a range, the fourth step; blank is what is taken for granted."""

UNSAID = "Say the lowest, the highest and the likeliest."


@dataclass(frozen=True)
class Fields:
    """The fields of one question.

    Parameters
    ----------
    figure
        What is asked for.
    """

    figure: Figure

    def key(self, part: str) -> str:
        """The key of a field; it is kept on disk under it."""
        return f"answer-{self.figure.what}-{self.figure.name}-{part}"

    def content(self, part: str) -> str:
        """What a field holds, or held when somebody was here last."""
        key = self.key(part)
        found = state.widget(key)
        return str((state.last_note(key) if found is None else found) or "").strip()

    def number(self, part: str) -> str:
        """The number in a field, as rules of answers read it; '' where it is blank.

        Raises
        ------
        RequestError
            It is none.
        """
        typed = self.content(part).removesuffix("%").strip()
        if not typed:
            return ""
        sign, digits = ("-", typed[1:].strip()) if typed[0] in "-\u2212" else ("", typed)
        return sign + figure_text(amount_typed(digits))

    def text(self, part: str, label: str) -> None:
        """Draw a field of text."""
        key = self.key(part)
        state.recall(key, lambda held: isinstance(held, str))
        st.text_input(label, key=key, on_change=self._keep, args=(key,), max_chars=60)

    def choice(self, part: str, label: str, words: Mapping[str, str]) -> None:
        """Draw a choice of words."""
        key = self.key(part)
        state.recall(key, words.__contains__)
        st.radio(
            label,
            list(words),
            index=None if part == "word" else 0,
            format_func=words.__getitem__,
            key=key,
            on_change=self._keep,
            args=(key,),
        )

    def _keep(self, key: str) -> None:
        state.note(key, state.widget(key))


def draw(figure: Figure) -> None:
    """The fields of a question, ranges first."""
    fields = Fields(figure)
    if figure.what == "chance":
        _chance_fields(fields)
    elif figure.what in THREE:
        _three_fields(fields)
    elif figure.what == "nudge":
        fields.choice("nudge", "How will they be?", NUDGES)
    else:
        fields.text("one", literal(RULES[figure.what].form.capitalize()))


def answer(figure: Figure) -> str:
    """What the fields say, in the words of the rule; '' while they are blank.

    Raises
    ------
    RequestError
        A field holds no number, or one of several is missing.
    """
    fields = Fields(figure)
    if figure.what == "chance":
        return _CHANCES[fields.content("way") or IN_WORDS](fields)
    if figure.what in THREE:
        return _three(fields, sure=True)
    if figure.what == "nudge":
        return fields.content("nudge") or "0"
    return fields.number("one")


def clear(figure: Figure) -> None:
    """Forget what the fields hold, once it is answered."""
    parts = ("way", "word", "came", "of", "low", "high", "likely", "sure", "nudge", "one", "per")
    keys = [Fields(figure).key(part) for part in parts]
    state.notes({key: None for key in keys if state.last_note(key) is not None})


def _three_fields(fields: Fields) -> None:
    if fields.figure.what == "margin":
        fields.choice("per", "Told by the", {"month": "month", "year": "year"})
    per = fields.content("per") or "month"
    low, high, likely = (
        label.replace("month", per) for label in THREE.get(fields.figure.what, PERCENT)
    )
    st.caption("One time in ten it is less than the first, one time in ten more than the second.")
    left, right = st.columns(2)
    with left:
        fields.text("low", low)
    with right:
        fields.text("high", high)
    fields.text("likely", likely)
    if fields.figure.what in THREE:
        key = fields.key("sure")
        state.recall(key, HELD.__contains__)
        st.selectbox(
            "How often do such ranges of yours hold?",
            list(HELD),
            format_func=HELD.__getitem__,
            key=key,
            on_change=lambda: state.note(key, state.widget(key)),
        )


def _chance_fields(fields: Fields) -> None:
    ways = {way: way for way in (IN_WORDS, BY_QUOTES, BY_PERCENT)}
    fields.choice("way", "How do you know?", ways)
    way = fields.content("way") or IN_WORDS
    if way == IN_WORDS:
        fields.choice("word", "Do you have such work?", WORDS)
    elif way == BY_QUOTES:
        left, right = st.columns(2)
        with left:
            fields.text("of", "Of how many quotes of that kind, e.g. the last 10")
        with right:
            fields.text("came", "How many came")
    else:
        _three_fields(fields)


def _three(fields: Fields, *, sure: bool) -> str:
    """Lowest, likeliest, highest, and how sure; the likeliest alone is certain."""
    low, high, likely = (fields.number(part) for part in ("low", "high", "likely"))
    if not (low or high or likely):
        return ""
    if likely and not (low or high):
        return f"{likely}{_by_month(fields)}"
    if not (low and high and likely):
        raise RequestError(UNSAID)
    held = fields.content("sure") if sure else ""
    return " ".join(filter(None, (low, likely, high, held))) + _by_month(fields)


def _by_month(fields: Fields) -> str:
    """What says that a margin is told by the month."""
    monthly = fields.figure.what == "margin" and (fields.content("per") or "month") == "month"
    return BY_MONTH if monthly else ""


def _counts(fields: Fields) -> str:
    came, of = fields.number("came"), fields.number("of")
    if not came and not of:
        return ""
    if not (came and of):
        raise RequestError("Say how many quotes there were, and how many of them came.")
    return f"{came}/{of}"


def _word(fields: Fields) -> str:
    word = fields.content("word")
    return word if word in STANDINGS else ""


_CHANCES: Mapping[str, Callable[[Fields], str]] = {
    IN_WORDS: _word,
    BY_QUOTES: _counts,
    BY_PERCENT: lambda fields: _three(fields, sure=False),
}
