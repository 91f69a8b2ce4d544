"""A page that gathers rules by topic: as data for the service's pages, and as a chapter of the handbook.

The words are those of rule_in_words.py; this module only puts rules together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from typing_extensions import TypedDict

from decision.handbook.rule_in_words import RuleInWords, rule_as_data
from decision.markdown import anchor, bullets, heading, link, plain
from decision.rule import Rule
from decision.rule_folder import RuleFolder
from decision.topics import Page
from decision.unary_test import met

__all__ = ["NOBODYS", "TopicPage", "chapter_place", "topic_chapter", "topic_page"]

_HOW = (
    "Rules of other chapters, gathered by the topics that their files name. Each applies only when what stands beside "
    "it is true. What holds whichever of these is used stands only below, under its topic."
)
NOBODYS = "No rule speaks of it alone."


class TopicPart(TypedDict):
    """One topic, and its rules."""

    place: str
    title: str
    rules: list[RuleInWords]


class ConcernPart(TypedDict):
    """One topic for one code: the rules that speak of it, by id and title."""

    title: str
    rules: list[tuple[str, str]]


class Concern(TypedDict):
    """What concerns one code (one cryogen), topic by topic; what concerns all of them is not said again."""

    words: str
    parts: list[ConcernPart]


class TopicPage(TypedDict):
    """The whole page."""

    name: str
    title: str
    how: str
    concerns: list[Concern]
    parts: list[TopicPart]


def topic_page(page: Page, folder: RuleFolder, say: Callable[[Rule, RuleFolder], RuleInWords]) -> TopicPage:
    """Gather a page.

    Args:
        page: Which one.
        folder: The rules.
        say: How a rule is put into words.

    Returns:
        Its topics in order, each with its rules by the alphabet of their titles.
    """
    return {
        "name": page.name,
        "title": page.title,
        "how": _HOW,
        "concerns": list(_concerns(page, folder)),
        "parts": [
            {
                "place": anchor("topic", page.name, topic),
                "title": words,
                "rules": [say(rule, folder) for rule in _of(topic, folder)],
            }
            for topic, words in page.topics.items()
        ],
    }


def topic_chapter(page: Page, folder: RuleFolder) -> list[str]:
    """The page as paragraphs of the handbook, with links to the rules in their chapters."""
    said = topic_page(page, folder, rule_as_data)
    blocks = [heading(2, page.title, chapter_place(page)), said["how"]]
    blocks.append("\n".join(line for one in said["concerns"] for line in _concern_in_words(one)))
    for part in said["parts"]:
        blocks.append(heading(3, part["title"], part["place"]))
        blocks.append(bullets(_rule_in_a_line(rule) for rule in part["rules"]))
    return blocks


def chapter_place(page: Page) -> str:
    """Where the chapter of a page begins."""
    return anchor("page", page.name)


def _of(topic: str, folder: RuleFolder) -> list[Rule]:
    rules = [rule for some in folder.rules.values() for rule in some if topic in rule.topics]
    return sorted(rules, key=lambda rule: rule.title.casefold())


def _concerns(page: Page, folder: RuleFolder) -> Iterator[Concern]:
    for code, words in folder.vocabulary.inputs[page.by].allowed.items():
        parts: list[ConcernPart] = [
            {
                "title": title,
                "rules": [(rule.id, rule.title) for rule in _of(topic, folder) if _asks(rule, page.by, code)],
            }
            for topic, title in page.topics.items()
        ]
        yield {"words": words, "parts": [part for part in parts if part["rules"]]}


def _asks(rule: Rule, name: str, code: str) -> bool:
    """Whether a rule asks for a code of an input, and not whatever it is."""
    tests = [test for test in rule.when if test.input == name]
    return bool(tests) and all(met(test, code) for test in tests)


def _concern_in_words(concern: Concern) -> Iterator[str]:
    yield f"- **{plain(concern['words'])}**"
    for part in concern["parts"]:
        links = ", ".join(link(title, anchor(*identity.split("/"))) for identity, title in part["rules"])
        yield f"  - {plain(part['title'])}: {links}"
    if not concern["parts"]:
        yield f"  - {NOBODYS}"


def _rule_in_a_line(said: RuleInWords) -> str:
    when = "; ".join(plain(one["words"]) for one in said["when"])
    advice = plain(" ".join([*said["then"], said["explanation"]]))
    return f"**{link(said['title'], anchor(*said['id'].split('/')))}**. {advice} (When {when}.)"
