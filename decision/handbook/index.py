"""The indexes of the handbook: by fact, by source, by certainty, what rests on no source, what contradicts itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from decision.fact_words import figure
from decision.handbook.chapter import rule_links
from decision.handbook.rule_in_words import spoken
from decision.handbook.rule_text import fact_entry, rule_anchor, source_entry
from decision.markdown import anchor, bullets, heading, link, plain, sentence, table
from decision.rule import NO_SOURCE, Rule
from decision.rule_folder import RuleFolder, all_inputs
from decision.vocabulary import Input

__all__ = ["INDEXES", "certainties", "indexes", "percent"]

INDEXES = {
    "by-fact": "By fact: which rules ask about it",
    "by-source": "By source: which rules rest on it",
    "by-certainty": "By certainty: where the evidence is thinnest",
    "no-source": "What rests on no source",
    "contradictions": "What cannot be stated together",
}

_ABOUT = {
    "patient": "The patient",
    "lesion": "The lesion",
    "equipment": "What is at hand",
    "operator": "The operator",
    "cycle": "The cycle under review",
    "healing": "The healing under review",
    "derived": "Computed facts",
    "decision": "Earlier answers",
}
_SAID_OF = {
    "derived": "Nobody states these. They are computed, as soon as the stated facts settle them.",
    "decision": "Answers that one decision hands to those after it.",
}


def indexes(folder: RuleFolder) -> list[str]:
    """All indexes, each under its heading."""
    written: dict[str, Callable[[RuleFolder], Iterable[str]]] = {
        "by-fact": _by_fact,
        "by-source": _by_source,
        "by-certainty": _by_certainty,
        "no-source": _no_source,
        "contradictions": _contradictions,
    }
    blocks = []
    for place, title in INDEXES.items():
        blocks += [heading(2, title, place), *written[place](folder)]
    return blocks


def certainties(folder: RuleFolder) -> dict[str, list[Rule]]:
    """The rules of each certainty, the thinnest first."""
    return {
        certainty: [rule for rule in _rules(folder) if rule.evidence.certainty == certainty]
        for certainty in ("very_low", "low", "moderate", "high")
    }


def percent(part: int, whole: int) -> str:
    """A share, rounded to one in a hundred.

    >>> percent(1, 3), percent(1, 1), percent(0, 0)
    ('33 %', '100 %', '0 %')
    """
    return f"{figure(round(100 * part / max(whole, 1)))} %"


def _rules(folder: RuleFolder) -> list[Rule]:
    return [rule for node in folder.decisions for rule in folder.rules[node.name]]


def _by_decision(rules: Sequence[Rule], folder: RuleFolder) -> list[str]:
    """Rules, one line for each decision that has any."""
    parted = [(node.name, [rule for rule in rules if rule.decision == node.name]) for node in folder.decisions]
    return [f"{spoken(name)}: {rule_links(some)}" for name, some in parted if some]


def _resting(rules: Sequence[Rule]) -> str:
    return "1 rule rests" if len(rules) == 1 else f"{len(rules)} rules rest"


def _by_fact(folder: RuleFolder) -> Iterable[str]:
    inputs = all_inputs(folder).values()
    asking: dict[str, list[Rule]] = {one.name: [] for one in inputs}
    for rule in _rules(folder):
        for test in rule.tests:
            asking[test.input].append(rule)
    yield (
        "One tick answers every fact of a check list: checked, none of these. A fact that may be presumed is taken as "
        "written here when nobody states it, and every answer then names it. No other fact is taken for granted."
    )
    for about, title in _ABOUT.items():
        some = [one for one in inputs if one.about == about]
        if not some:
            continue
        yield heading(3, title, anchor("facts", about))
        if about in _SAID_OF:
            yield _SAID_OF[about]
        for one in some:
            yield fact_entry(one, folder)
            lines = [*_by_decision(asking[one.name], folder), *_other_uses(one, inputs)]
            yield bullets(lines or ["No rule asks about it."])


def _other_uses(about: Input, inputs: Iterable[Input]) -> Iterable[str]:
    computed = [link(one.label, anchor("fact", one.name)) for one in inputs if about.name in one.parents]
    if computed:
        yield f"used to compute: {', '.join(computed)}"
    if about.type == "numbers":
        yield "used to size the applicator"


def _by_source(folder: RuleFolder) -> Iterable[str]:
    cited: dict[str, list[Rule]] = {key: [] for key in folder.sources}
    for rule in _rules(folder):
        for key in rule.evidence.citations:
            cited[key].append(rule)
    yield "A title in square brackets is our own description, because the printed title was not at hand."
    for key, rules in cited.items():
        if rules:
            yield source_entry(key, folder)
            yield f"{_resting(rules)} on it:\n\n{bullets(_by_decision(rules, folder))}"
    unused = [key for key, rules in cited.items() if not rules]
    if unused:
        yield heading(3, "Sources that no rule cites", "uncited")
        yield from (source_entry(key, folder) for key in unused)


def _by_certainty(folder: RuleFolder) -> Iterable[str]:
    found = certainties(folder)
    whole = len(_rules(folder))
    yield table(
        ["Certainty", "Rules", "Share", "Without a source"],
        [
            (name.replace("_", " "), str(len(rules)), percent(len(rules), whole), str(len(_sourceless(rules))))
            for name, rules in found.items()
        ],
    )
    yield table(["Decision", "Rules", "Of very low certainty", "Share"], _thinnest_first(folder))
    for name, rules in found.items():
        if rules:
            said = f"{name.replace('_', ' ')} certainty"
            yield heading(3, sentence(said).rstrip("."), anchor("certainty", name))
            yield bullets(_by_decision(rules, folder))


def _thinnest_first(folder: RuleFolder) -> Iterable[Sequence[str]]:
    """Each decision that has rules, with how many of them are of very low certainty."""
    counted = []
    for node in folder.decisions:
        rules = folder.rules[node.name]
        thin = sum(rule.evidence.certainty == "very_low" for rule in rules)
        if rules:
            counted.append((thin / len(rules), node.name, len(rules), thin))
    for _, name, whole, thin in sorted(counted, reverse=True):
        yield link(spoken(name), anchor(name)), str(whole), str(thin), percent(thin, whole)


def _no_source(folder: RuleFolder) -> Iterable[str]:
    rules = _sourceless(_rules(folder))
    share = percent(len(rules), len(_rules(folder)))
    yield f"{_resting(rules)} on {NO_SOURCE} ({share}). That is opinion, however plain it sounds."
    for node in folder.decisions:
        some = [rule for rule in rules if rule.decision == node.name]
        if some:
            yield f"**{plain(node.question)}**"
            yield bullets(link(rule.title, rule_anchor(rule)) for rule in some)


def _contradictions(folder: RuleFolder) -> Iterable[str]:
    yield "A case that states such facts is refused until one is put right. What is presumed contradicts nothing."
    said = dict.fromkeys(one.says for one in folder.contradictions.listed)
    yield bullets(plain(one) for one in said) if said else "Nothing is listed."


def _sourceless(rules: Iterable[Rule]) -> list[Rule]:
    return [rule for rule in rules if not rule.evidence.citations]
