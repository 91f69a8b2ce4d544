"""One chapter of the handbook: a decision, its ladder, and its rules in the order in which a reader wants them.

Rules of a ladder stand from the most cautious answer down, statements from the most urgent, quantities each by itself;
within that, by the alphabet.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from decision.decision_node import DecisionNode
from decision.fact_words import amount
from decision.handbook.rule_in_words import rule_as_data, spoken
from decision.handbook.rule_text import rule_anchor, rule_text
from decision.markdown import anchor, heading, link, plain
from decision.rule import Rule
from decision.rule_folder import RuleFolder, all_inputs
from decision.unary_test import Among, in_words

__all__ = ["MOMENTS", "Group", "chapter", "groups_of", "rule_links"]

MOMENTS = ("before", "during", "after")
RISING = "urgency"  # its codes are written from the least to the most urgent

_HOW = {
    "priority": "Of all rules that apply, the most cautious answer wins.",
    "collect": "Every rule that applies adds its statement.",
    "unique": "Each quantity comes from one rule at most. A quantity that no rule gives is left open.",
}


@dataclass(frozen=True, slots=True)
class Group:
    """Rules of one decision that conclude alike, and statements of other decisions that bring the same answer."""

    title: str
    place: str
    rules: tuple[Rule, ...]
    raising: tuple[Rule, ...]


def groups_of(node: DecisionNode, folder: RuleFolder) -> list[Group]:
    """The rules of a decision by what they conclude. A decision without such parts is one group without a title."""
    key, words = _parting(node)
    found = []
    for answer, said in words.items():
        rules = [rule for rule in folder.rules[node.name] if _concludes(rule, key, answer)]
        rules.sort(key=lambda rule: rule.title.casefold())
        raising = _raising(node, answer, folder)
        if rules or raising:
            place = anchor("group", node.name, answer)
            found.append(Group(said[:1].upper() + said[1:], place, tuple(rules), tuple(raising)))
    return found


def chapter(node: DecisionNode, folder: RuleFolder) -> list[str]:
    """The paragraphs of one decision with all its rules."""
    blocks = [heading(2, node.question, anchor(node.name)), *_opening(node, folder)]
    for group in groups_of(node, folder):
        if group.title:
            blocks.append(heading(3, group.title, group.place))
        if group.raising:
            blocks.append(f"Statements of another chapter that bring this answer too: {rule_links(group.raising)}.")
        for rule in group.rules:
            blocks.append(heading(4, rule.title, rule_anchor(rule)))
            blocks += rule_text(rule_as_data(rule, folder))
    return blocks


def rule_links(rules: Iterable[Rule]) -> str:
    """Rules by their short names, each a link."""
    return ", ".join(link(rule.name.replace("_", " "), rule_anchor(rule)) for rule in rules)


def _parting(node: DecisionNode) -> tuple[str, Mapping[str, str]]:
    """By what the rules of a decision are parted: the key of their conclusion, and its values with their words."""
    if node.hit_policy == "priority":
        return node.concludes, _turned(node.answers)
    if node.hit_policy == "unique":
        return "", {name: spoken(name) for name in node.quantities}
    for name, one in node.fields.items():
        if one["one_of"]:
            return name, _turned(one["one_of"]) if name == RISING else one["one_of"]
    return "", {"": ""}


def _turned(words: Mapping[str, str]) -> Mapping[str, str]:
    return {code: words[code] for code in reversed([*words])}


def _concludes(rule: Rule, key: str, answer: str) -> bool:
    """Whether a rule belongs to a part. One that gives several quantities stands with the first of them."""
    if key:
        return bool(rule.conclude[key] == answer)
    return not answer or next(iter(rule.conclude)) == answer


def _opening(node: DecisionNode, folder: RuleFolder) -> Iterable[str]:
    inputs = all_inputs(folder)
    count = amount(len(folder.rules[node.name]), "rules")
    yield f"Decision `{node.name}`, asked {' and '.join(node.moments)} the freeze, {count}. {_HOW[node.hit_policy]}"
    if node.given:
        asked = [plain(in_words(Among(name, codes), inputs[name])) for name, codes in node.given.items()]
        yield f"It is asked only with these answers before it. {'. '.join(one[0].upper() + one[1:] for one in asked)}."
    if not node.answers:
        return
    yield "From the most permissive answer to the most cautious:"
    yield "\n".join(f"{place}. {plain(words)}" for place, words in enumerate(node.answers.values(), 1))
    if node.stands_unsettled_from:
        first = node.answers[node.stands_unsettled_from]
        yield (
            f"From “{plain(first)}” down this list an answer stands at once. One above it stands only when nothing "
            "that is still open could bring a more cautious one. When no rule applies there is no answer, and silence "
            "is never permission."
        )


def _raising(node: DecisionNode, answer: str, folder: RuleFolder) -> list[Rule]:
    """The statements of other decisions that raise a ladder to an answer."""
    found = []
    for other in folder.decisions:
        keys = [key for key, one in other.fields.items() if one["answer_of"] == node.name]
        found += [rule for rule in folder.rules[other.name] if any(rule.conclude.get(key) == answer for key in keys)]
    return found
