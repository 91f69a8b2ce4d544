"""What the handbook says of one rule, of one fact and of one source, in Markdown.

Nothing is worded here but the frame: the words come from rule_in_words.py.
"""

from __future__ import annotations

from collections.abc import Mapping

from decision.citation import citation, source_in_words
from decision.fact_words import asked_in_words, unless_in_words
from decision.handbook.example_table import example_table
from decision.handbook.rule_in_words import ConditionInWords, EvidenceInWords, RuleInWords
from decision.markdown import anchor, bullets, link, plain, sentence, target
from decision.measured import measured_of
from decision.rule import NO_SOURCE, Rule
from decision.rule_folder import RuleFolder
from decision.vocabulary import Input

__all__ = ["fact_entry", "rule_anchor", "rule_text", "source_entry"]

_ADVICE = {"good_practice": "good practice"}
_NOTHING_MORE = f"This is {NO_SOURCE}."


def rule_anchor(rule: Rule) -> str:
    """The name by which a rule is linked to: it changes only when the rule is renamed."""
    return anchor(rule.decision, rule.name)


def rule_text(said: RuleInWords) -> list[str]:
    """The paragraphs of a rule below its heading."""
    blocks = [f"`{said['id']}`. {plain(said['purpose'])}", *_conditions("When", said["when"])]
    if said["unless"]:
        blocks += _conditions("Unless", said["unless"])
    blocks.append(f"**Then:** {plain(' '.join(said['then']))}")
    blocks.append(plain(said["explanation"]))
    blocks.append(example_table(said["examples"]))
    blocks.append(_evidence(said["evidence"]))
    blocks.append(_upkeep(said["maintenance"]))
    return blocks


def fact_entry(about: Input, folder: RuleFolder) -> str:
    """What a fact is: its question, its answers, and what it is computed from."""
    said = f"{target(anchor('fact', about.name))}**{plain(about.label)}**: "
    if about.about == "decision":
        return f"{said}the answer to “{plain(about.question)}”"
    said += plain(" ".join([*asked_in_words(about), *unless_in_words(about, folder.vocabulary.inputs)]))
    if about.derived:
        parents = [folder.vocabulary.inputs[name] for name in about.parents]
        from_these = ", ".join(link(one.label, anchor("fact", one.name)) for one in parents)
        said += f" Computed from: {from_these}."
    return said


def source_entry(key: str, folder: RuleFolder) -> str:
    """What a source is: its full citation, what was measured, and how much of it was read."""
    source = folder.sources[key]
    words = {name: folder.vocabulary.inputs[name].allowed for name in ("species", "cryogen") if _has(name, folder)}
    measured = source_in_words(source, words.get("species", {}), words.get("cryogen", {}))
    said = f"{target(anchor('source', key))}**{plain(key)}**: {plain(citation(source))}"
    return f"{said}\n\n{bullets(plain(line) for line in measured)}"


def _has(name: str, folder: RuleFolder) -> bool:
    return name in folder.vocabulary.inputs


def _conditions(word: str, conditions: list[ConditionInWords]) -> list[str]:
    these = "this is true" if len(conditions) == 1 else "all of these are true"
    return [f"**{word} {these}:**", bullets(_condition(one) for one in conditions)]


def _condition(one: ConditionInWords) -> str:
    label = plain(one["label"])
    return plain(one["words"]).replace(label, link(one["label"], anchor("fact", one["input"])), 1)


def _evidence(one: EvidenceInWords) -> str:
    strength = _ADVICE.get(one["strength"], f"{one['strength']} advice")
    said = f"**Evidence:** {one['certainty'].replace('_', ' ')} certainty, {strength}."
    if not one["citations"]:
        more = NO_SOURCE if one["limits"] == _NOTHING_MORE else one["limits"]
        return f"{said} {plain(sentence(more))}"
    keys = ", ".join(link(cited["key"], anchor("source", cited["key"])) for cited in one["citations"])
    return f"{said} Sources ({measured_of(one)}): {keys}. {plain(sentence(one['limits']))}"


def _upkeep(upkeep: Mapping[str, object]) -> str:
    revisions = upkeep["revisions"]
    assert isinstance(revisions, list)
    last = revisions[-1]
    return (
        f"**Last revised** {last['date']}, version {last['version']}. Standing: {upkeep['validation']}, "
        f"{plain(str(upkeep['specialist']))}."
    )
