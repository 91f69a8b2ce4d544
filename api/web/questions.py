"""The questions that a page asks: which, in which order, and what already stands in each.

Species and lesion come first; further questions come as the answer asks for them, in its order, and stay where they
first stood. Rare conditions stand in check lists that one tick answers. All words are the vocabulary's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from api.text.input_words import figure, range_in_words, unit_beside, value_in_words
from api.web.sheet import Sheet
from decision.vocabulary import Input, Vocabulary

__all__ = ["CheckList", "Form", "Question", "Section", "first_inputs", "sections_of"]

MOST_CHIP_LETTERS = 260  # more words than these are shorter as one list to choose from
FIRST = {
    "patient": ("species", "age_years"),
    "lesion": ("lesion_kind", "site", "base_width_mm", "height_mm"),
    "equipment": ("cryogen", "cone_bores_mm", "foam_tips_mm"),
    "cycle": (
        "applicator_used",
        "contact_diameter_mm",
        "cycle_number",
        "fill_reached_mm",
        "contact_seconds",
        "observed_thaw_s",
    ),
    "healing": ("days_since_freeze", "sessions_so_far", "width_before_mm", "width_now_mm", "wound_stage"),
}


@dataclass(frozen=True, slots=True)
class Question:
    """One question as it stands on a page."""

    field: str
    name: str
    words: str
    kind: str
    choices: tuple[tuple[str, str], ...]
    unit: str
    hint: str
    written: str
    fault: str
    presumed: str
    because: str

    @property
    def identifier(self) -> str:
        """Its name in the page, for labels and links."""
        return "q-" + self.field.replace(".", "-")


@dataclass(frozen=True, slots=True)
class CheckList:
    """Questions that one tick answers."""

    field: str
    name: str
    words: str
    ticked: bool
    items: tuple[Question, ...]

    @property
    def opened(self) -> bool:
        """Whether one of its questions is answered by itself."""
        return any(one.written or one.fault for one in self.items)


@dataclass(frozen=True, slots=True)
class Section:
    """The questions about one thing: the patient, a lesion, what is at hand."""

    place: str
    about: str
    questions: tuple[Question, ...]
    lists: tuple[CheckList, ...]
    aside: tuple[Question, ...]


@dataclass(frozen=True, slots=True)
class Form:
    """What a page knows of its form.

    Attributes:
        sheet: What stands in it.
        faults: What is wrong in it, by field.
        asked: Inputs that could move a verdict, a method or a plan, by place, in the order of the answer.
        further: Inputs that are presumed, or could move nothing but cautions and steps, by place.
        answered: Whether the form has been sent; check lists are put from then on.
    """

    sheet: Sheet
    faults: Mapping[str, str]
    asked: Mapping[str, Sequence[str]]
    further: Mapping[str, Sequence[str]]
    answered: bool


def first_inputs(vocabulary: Vocabulary, about: str) -> list[str]:
    """What is asked first about a thing: of a rule book without these inputs, all of them."""
    named = [name for name in FIRST.get(about, ()) if name in vocabulary.inputs]
    return named or [one.name for one in vocabulary.about(about) if not one.group and one.presumed is None]


def sections_of(places: Iterable[str], vocabulary: Vocabulary, form: Form) -> list[Section]:
    """Put the questions of a page together, place by place; a place without any is left out."""
    found = [_section(place, vocabulary, form) for place in places]
    return [one for one in found if one.questions or one.lists or one.aside]


def _section(place: str, vocabulary: Vocabulary, form: Form) -> Section:
    about = "lesion" if place.startswith("lesions.") else place
    plain, aside = _sorted(place, about, vocabulary, form)
    lists = [one for one in vocabulary.groups.values() if one.about == about and form.answered]
    return Section(
        place=place,
        about=about,
        questions=tuple(_question(one, place, form) for one in plain),
        lists=tuple(_check_list(group.name, place, vocabulary, form) for group in lists),
        aside=tuple(_question(one, place, form) for one in aside),
    )


def _sorted(place: str, about: str, vocabulary: Vocabulary, form: Form) -> tuple[list[Input], list[Input]]:
    """What is asked in the open, and what is asked aside, each in a lasting order.

    First what is always asked, then what stood on the page before, then what is new, as the answer asks it.
    """
    stated = [name for name, one in form.sheet.places.get(place, {}).items() if one]
    asked, further = form.asked.get(place, ()), form.further.get(place, ())
    was_aside = form.sheet.aside.get(place, ())
    kept_aside = [name for name in was_aside if name in stated or name in further]
    aside = [name for name in dict.fromkeys([*kept_aside, *further]) if name not in asked or name in stated]
    first = first_inputs(vocabulary, about)
    shown = [name for name in form.sheet.shown.get(place, ()) if name in stated or name in asked]
    plain = [name for name in dict.fromkeys([*first, *shown, *stated, *asked]) if name in first or name not in aside]
    aside = [name for name in aside if name not in plain]
    return _open_inputs(plain, about, vocabulary), _open_inputs(aside, about, vocabulary)


def _open_inputs(names: Iterable[str], about: str, vocabulary: Vocabulary) -> list[Input]:
    """The inputs about a thing that stand in no check list."""
    known = (vocabulary.inputs.get(name) for name in names)
    return [one for one in known if one is not None and one.about == about and one.group is None]


def _check_list(name: str, place: str, vocabulary: Vocabulary, form: Form) -> CheckList:
    group = vocabulary.groups[name]
    return CheckList(
        field=f"{place}.ruled_out",
        name=name,
        words=group.question,
        ticked=name in form.sheet.ticked.get(place, ()),
        items=tuple(_question(one, place, form) for one in vocabulary.in_group(name)),
    )


def _question(one: Input, place: str, form: Form) -> Question:
    field = f"{place}.{one.name}"
    written = form.sheet.places.get(place, {}).get(one.name, "")
    letters = sum(len(words) for words in one.allowed.values())
    listed = one.type == "code" and letters > MOST_CHIP_LETTERS
    choices = [("yes", "yes"), ("no", "no")] if one.type == "boolean" else list(one.allowed.items())
    return Question(
        field=field,
        name=one.name,
        words=one.question,
        kind="list" if listed else "chips" if choices else one.type,
        choices=tuple(choices),
        unit=_unit(one, written),
        hint=range_in_words(one) if one.type in ("number", "numbers") else "",
        written=written,
        fault=form.faults.get(field, ""),
        presumed=_presumed(one),
        because=one.presumed_because,
    )


def _unit(one: Input, written: str) -> str:
    unit = one.unit or ""
    return unit_beside(1, unit) if written == "1" else unit


def _presumed(one: Input) -> str:
    if one.presumed is None:
        return ""
    if isinstance(one.presumed, float) and not one.unit:
        return figure(one.presumed)
    return value_in_words(one.presumed, one)
