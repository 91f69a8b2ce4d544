"""Match rules with durable-rules: the only module that knows it.

The library is asked only what was measured to be safe: one flat fact, conjunctions of comparisons, at most 62 of them
in a network, one decision after another. How rules and facts are written for it is library_text.py's. Names are
checked for its 32-bit hash, the session is warmed when the network is made, and whatever goes wrong resets the network
and refuses the case. What a rule that does not hold lacks is not asked here: evaluator.py is three-valued, and both
must name the same rules that hold.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import compress
from operator import not_
from typing import Any

import durable_rules_engine as engine

from decision.errors import Fault, MatcherFault
from decision.library_text import Conjunction, FactWriter, all_of, conjunctions
from decision.rule import Rule
from decision.unary_test import Among, Truth, UnaryTest
from decision.vocabulary import Input

__all__ = ["Heard", "Matcher", "Told", "name_faults"]

MOST_IN_A_NETWORK = 62  # the library fails a case in which more than 64 alternatives are true at once
RESERVED = frozenset({"id", "sid", "exception", "running", "_warm"})
SESSION = '{"id":"1","sid":"0"'
Heard = tuple[tuple[int, ...], int]  # the networks that are told a fact, and a bit for each that needs it
NOBODY: Heard = ((), 0)
_Member = tuple[int, Conjunction]  # the place of a rule, and one of the conjunctions it expands into
WARM = '{"id":"w","sid":"0","_warm":1}'


class Told:
    """What networks are told of a case: the texts for each, by number, and a bit for each that has what it needs."""

    __slots__ = ("needed", "texts")

    def __init__(self, texts: list[list[str]], needed: int) -> None:
        """Keep what is told so far."""
        self.texts, self.needed = texts, needed

    def copy(self) -> Told:
        """The same, to be told more."""
        return Told([one.copy() for one in self.texts], self.needed)


class Matcher:
    """The rules of one decision, as networks of the library."""

    def __init__(self, name: str, rules: Sequence[Rule], inputs: Mapping[str, Input], first: int = 0) -> None:
        """Build and warm the networks.

        Args:
            name: A name for the networks.
            rules: The rules of one decision.
            inputs: The inputs they may ask about, for the codes that a list leaves out.
            first: The number of the first network.
        """
        self.first = first
        self._name = name
        expanded = [
            (number, conjunction) for number, rule in enumerate(rules) for conjunction in conjunctions(rule, inputs)
        ]
        uses = Counter(test for _, conjunction in expanded for test in conjunction)
        self.tests = uses.keys()
        self._networks: list[_Network] = []
        self._by_text: dict[str, Heard] = {}
        self._by_name: dict[str, Heard] = {}
        self._always = 0
        for place, members in enumerate(_shares(expanded, inputs), first):
            self._networks.append(_Network(f"{name}.{place - first}", members, uses))
            rarest = [_rarest(tests, inputs) for _, tests in members if tests]
            if len(rarest) < len(members):  # a rule without tests
                self._always |= 1 << place
            self._hear(FactWriter((test for _, tests in members for test in tests), inputs), place, 0)
            self._hear(FactWriter(rarest, inputs), place, 1 << place)

    @property
    def networks(self) -> int:
        """How many networks there are."""
        return len(self._networks)

    def holding(self, told: Told) -> int:
        """The rules that hold, a bit for each.

        Args:
            told: What the networks were told of a case, each what it hears; see `hears`.

        Raises:
            MatcherFault: The library failed; its networks have been reset.
        """
        return self.holding_each([told])[0]

    def holding_each(self, passes: Sequence[Told]) -> list[int]:
        """The rules that hold, in each pass over a case; see `holding`.

        A network is asked only where a case has something that its rules cannot do without. Passes differ in what was
        presumed, which most networks do not read: one that is told the same fact in two passes is asked once.
        """
        found = [0] * len(passes)
        try:
            for place, network in enumerate(self._networks, self.first):
                asked: str | None = None
                held = 0
                for i, told in enumerate(passes):
                    if not (told.needed | self._always) >> place & 1:
                        continue
                    fact = "".join(told.texts[place])
                    if fact != asked:
                        asked, held = fact, network.holding(f"{SESSION}{fact}}}")
                    found[i] |= held
        except Exception as fault:
            self.reset()
            raise MatcherFault(f"durable-rules failed in {self._name}; it has been reset.") from fault
        return found

    def hears(self, name: str, text: str) -> Heard:
        """Which networks are told a fact, and a bit for each that needs it; networks are numbered from `first` on."""
        return self._by_text.get(text) or self._by_name.get(name) or NOBODY

    def _hear(self, writer: FactWriter, place: int, needing: int) -> None:
        """Let a network be told what a writer writes."""
        texts = [(self._by_text, text) for one in writer.texts.values() for text in one.values()]
        for heard, what in [*texts, *((self._by_name, number) for number in writer.ranges)]:
            places, needed = heard.get(what, NOBODY)
            heard[what] = (places if place in places else (*places, place), needed | needing)

    def reset(self) -> None:
        """Start every network afresh, after a failure or a disagreement."""
        for network in self._networks:
            network.reset()

    def close(self) -> None:
        """Give the memory of every network back."""
        for network in self._networks:
            network.close()


def name_faults(names: Iterable[str], shown: str) -> list[Fault]:
    """State each name that the library would take for another one, or for its own."""
    faults = []
    by_hash = {_hash(name): name for name in RESERVED}
    for name in sorted(names):
        if name in RESERVED or name.startswith("$") or not (name.isidentifier() and name.isascii()):
            faults.append(Fault(shown, 0, name, "this name is reserved by the matcher; choose another."))
            continue
        twin = by_hash.setdefault(_hash(name), name)
        if twin != name:
            said = f'the matcher cannot tell this name from "{twin}" (they share a 32-bit hash); rename one.'
            faults.append(Fault(shown, 0, name, said))
    return faults


class _Network:
    """One rule set of the library, kept warm, with one session."""

    def __init__(self, name: str, members: Sequence[_Member], uses: Counter[UnaryTest]) -> None:
        self._name = name
        self._rule_of_key = {f"k{i}": 1 << number for i, (number, _) in enumerate(members)}
        written = [f'"k{i}":{all_of(tests, uses)}' for i, (_, tests) in enumerate(members)]
        self._written = "{" + ",".join([*written, '"!warm":{"all":[{"m":{"_warm":1}}]}']) + "}"
        self._handle: int | None = None
        self._open()

    def holding(self, fact: str) -> int:
        found, rule_of_key, handle = 0, self._rule_of_key, self._handle
        state, offset = engine.assert_fact(handle, fact)
        if state == 0:
            started = engine.start_action_for_state(handle, offset)
            reply = started[1] if started else None
            while reply:
                found |= rule_of_key[reply[2 : reply.index('"', 2)]]
                reply = engine.complete_and_start_action(handle, offset)
        elif state != 1:
            raise MatcherFault(f"durable-rules answered {state} to a fact.")
        engine.retract_fact(handle, SESSION + "}")
        return found

    def reset(self) -> None:
        self.close()
        self._open()

    def close(self) -> None:
        if self._handle is not None:
            engine.delete_state(self._handle, "0")  # before the rule set, or its memory is never given back
            engine.delete_ruleset(self._handle)
            self._handle = None

    def _open(self) -> None:
        """Make the rule set and fire its hidden rule once: a session in which nothing ever fired can crash."""
        self._handle = engine.create_ruleset(self._name, self._written)
        state, offset = engine.assert_fact(self._handle, WARM)
        reply: Any = engine.start_action_for_state(self._handle, offset) if state == 0 else None
        if not reply:
            raise MatcherFault(f"durable-rules did not start {self._name}.")
        while reply:
            reply = engine.complete_and_start_action(self._handle, offset)
        engine.retract_fact(self._handle, '{"id":"w","sid":"0"}')


def _shares(expanded: Sequence[_Member], inputs: Mapping[str, Input]) -> Iterator[Sequence[_Member]]:
    """Share conjunctions out among networks; where several are needed, so that few of them are asked about most cases.

    Those that read what may be presumed stand together, for they are asked in both passes, and so do those that need
    something rare.
    """
    ordered = sorted(expanded, key=lambda one: -_commonness(_rarest(one[1], inputs), inputs) if one[1] else -1)
    if len(ordered) > MOST_IN_A_NETWORK:
        presumable = [any(inputs[test.input].presumed is not None for test in tests) for _, tests in ordered]
        groups = [list(compress(ordered, map(not_, presumable))), list(compress(ordered, presumable))]
    else:
        groups = [ordered]
    for group in groups:
        for start in range(0, len(group), MOST_IN_A_NETWORK):
            yield group[start : start + MOST_IN_A_NETWORK]


def _rarest(tests: Conjunction, inputs: Mapping[str, Input]) -> UnaryTest:
    """The test of a conjunction that the fewest cases meet, as far as can be told."""
    return min(tests, key=lambda test: _commonness(test, inputs))


def _commonness(test: UnaryTest, inputs: Mapping[str, Input]) -> float:
    """About the share of cases that meet a test: what is absent in most patients is rarely there."""
    one = inputs[test.input]
    if isinstance(test, Truth):
        usual = one.absent if one.presumed is None else one.presumed
        return 0.5 if usual is None else 0.95 if test.value is usual else 0.05
    if isinstance(test, Among):
        share = len(test.codes) / max(len(one.allowed), 1)
        return share if test.inside else 1 - share
    return 0.5


def _hash(name: str) -> int:
    """FNV-1a over 32 bits, as the library hashes names."""
    value = 0x811C9DC5
    for byte in name.encode():
        value = (value ^ byte) * 0x01000193 & 0xFFFFFFFF
    return value
