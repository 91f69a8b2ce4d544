"""The rules in plain words, to be searched and read one by one."""

from __future__ import annotations

from collections.abc import Sequence

from decision.handbook.rule_in_words import RuleInWords, rule_as_data
from decision.handbook.topic_page import TopicPage, topic_page
from decision.rule_book import RuleBook
from decision.topics import Page

__all__ = ["Chapter", "Handbook"]

Chapter = tuple[str, str, Sequence[RuleInWords]]


class Handbook:
    """Every rule of a rule book in words; a rule is worded when it is first read."""

    def __init__(self, book: RuleBook) -> None:
        """Word nothing yet."""
        self._folder = book.folder
        self._worded: dict[str, RuleInWords] = {}

    def __len__(self) -> int:
        """How many rules there are."""
        return sum(len(rules) for rules in self._folder.rules.values())

    def rule(self, decision: str, name: str) -> RuleInWords | None:
        """One rule in words, or None."""
        rule = self._folder.rule(decision, name)
        if rule is None:
            return None
        if rule.id not in self._worded:
            self._worded[rule.id] = rule_as_data(rule, self._folder)
        return self._worded[rule.id]

    def pages(self) -> Sequence[Page]:
        """The pages that gather rules by topic."""
        return tuple(self._folder.pages.values())

    def page(self, name: str) -> TopicPage | None:
        """One page that gathers rules by topic, or None."""
        page = self._folder.pages.get(name)
        return None if page is None else topic_page(page, self._folder, rule_as_data)

    def search(self, wanted: str) -> list[Chapter]:
        """The rules in which every wanted word stands, by decision: its name, its question, its rules."""
        words = wanted.casefold().split()
        found: list[Chapter] = []
        for node in self._folder.decisions:
            said = [self.rule(node.name, rule.name) for rule in self._folder.rules[node.name]]
            hits = [one for one in said if one is not None and all(word in _text(one) for word in words)]
            if hits:
                found.append((node.name, node.question, hits))
        return found


def _text(said: RuleInWords) -> str:
    """Everything of a rule that is searched."""
    conditions = (one["words"] for one in (*said["when"], *said["unless"]))
    cited = (one["key"] for one in said["evidence"]["citations"])
    parts = (said["id"], said["title"], said["purpose"], said["explanation"], *said["then"], *conditions, *cited)
    return " ".join(parts).casefold()
