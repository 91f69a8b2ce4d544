"""Match rules with durable-rules: the only module that knows it.

The library is asked only what was measured to be safe: one flat fact, conjunctions of comparisons, at most 62 of them
in a network, one decision after another. Lists of codes and exceptions are expanded into plain conjunctions before the
library sees them. Names are checked for its 32-bit hash, numbers are written so that it accepts them, the session is
warmed when the network is made, and whatever goes wrong resets the network and refuses the case. What a rule that does
not hold lacks is not asked here: evaluator.py is three-valued, and both must name the same rules that hold.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from json.encoder import encode_basestring_ascii
from typing import Any

import durable_rules_engine as engine

from decision.errors import Fault, MatcherFault
from decision.rule import Rule
from decision.unary_test import Among, Interval, Truth, UnaryTest, opposite
from decision.vocabulary import Input, Value

__all__ = ["Matcher", "fact_fragments", "name_faults"]

MOST_IN_A_NETWORK = 62  # the library fails a case in which more than 64 alternatives are true at once
MOST_ALTERNATIVES = 6  # a longer list of codes is asked as "none of the others"
RESERVED = frozenset({"id", "sid", "exception", "running", "_warm"})
SESSION = '{"id":"1","sid":"0"'
WARM = '{"id":"w","sid":"0","_warm":1}'

Conjunction = tuple[UnaryTest, ...]


class Matcher:
    """The rules of one decision, as networks of the library."""

    def __init__(self, name: str, rules: Sequence[Rule], inputs: Mapping[str, Input]) -> None:
        """Build and warm the networks.

        Args:
            name: A name for the networks.
            rules: The rules of one decision.
            inputs: The inputs they may ask about, for the codes that a list leaves out.
        """
        self._name = name
        expanded = [
            (number, conjunction) for number, rule in enumerate(rules) for conjunction in _conjunctions(rule, inputs)
        ]
        uses = Counter(test for _, conjunction in expanded for test in conjunction)
        self._networks = [
            _Network(f"{name}.{i}", expanded[start : start + MOST_IN_A_NETWORK], uses)
            for i, start in enumerate(range(0, len(expanded), MOST_IN_A_NETWORK))
        ]

    def holding(self, fragments: Mapping[str, str]) -> set[int]:
        """The places of the rules that hold.

        Args:
            fragments: For each known input its name and value as JSON text, from `fact_fragments`.

        Raises:
            MatcherFault: The library failed; its networks have been reset.
        """
        found: set[int] = set()
        try:
            for network in self._networks:
                network.match(fragments, found)
        except Exception as fault:
            self.reset()
            raise MatcherFault(f"durable-rules failed in {self._name}; it has been reset.") from fault
        return found

    def reset(self) -> None:
        """Start every network afresh, after a failure or a disagreement."""
        for network in self._networks:
            network.reset()

    def close(self) -> None:
        """Give the memory of every network back."""
        for network in self._networks:
            network.close()


def fact_fragments(known: Mapping[str, Value]) -> dict[str, str]:
    """Write each known fact as a fragment of JSON that the library reads as it was meant.

    >>> fact_fragments({"species": "dog", "base_width_mm": 1e-05, "infected": False})
    {'species': ',"species":"dog"', 'base_width_mm': ',"base_width_mm":1.0e-05', 'infected': ',"infected":false'}
    """
    return {name: f',"{name}":{_written(value)}' for name, value in known.items()}


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

    def __init__(self, name: str, members: Sequence[tuple[int, Conjunction]], uses: Counter[UnaryTest]) -> None:
        self._name = name
        self._rules_of_key = {f"k{i}": number for i, (number, _) in enumerate(members)}
        written = [f'"k{i}":{_all_of(tests, uses)}' for i, (_, tests) in enumerate(members)]
        self._written = "{" + ",".join([*written, '"!warm":{"all":[{"m":{"_warm":1}}]}']) + "}"
        self._inputs = sorted({test.input for _, tests in members for test in tests})
        self._handle: int | None = None
        self._open()

    def match(self, fragments: Mapping[str, str], found: set[int]) -> None:
        fact = SESSION + "".join([fragments[name] for name in self._inputs if name in fragments]) + "}"
        handle = self._handle
        state, offset = engine.assert_fact(handle, fact)
        if state == 0:
            started = engine.start_action_for_state(handle, offset)
            reply = started[1] if started else None
            while reply:
                found.add(self._rules_of_key[reply[2 : reply.index('"', 2)]])
                reply = engine.complete_and_start_action(handle, offset)
        elif state != 1:
            raise MatcherFault(f"durable-rules answered {state} to a fact.")
        engine.retract_fact(handle, SESSION + "}")

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


def _conjunctions(rule: Rule, inputs: Mapping[str, Input]) -> list[Conjunction]:
    """Expand a rule into conjunctions of which one is true exactly when the rule holds."""
    exceptions: list[tuple[UnaryTest, ...]] = [()]
    if rule.unless:
        exceptions = [(test,) for one in rule.unless for test in opposite(one)]
    expanded: list[Conjunction] = []
    for exception in exceptions:
        tests = [_shorter(test, inputs) for test in (*rule.when, *exception)]
        choices = [_choices(test) for test in tests]
        expanded += itertools.product(*choices)
    return expanded


def _choices(test: UnaryTest) -> list[UnaryTest]:
    """A list of codes as one test for each code; any other test as it is."""
    if isinstance(test, Among) and test.inside:
        return [Among(test.input, (code,)) for code in test.codes]
    return [test]


def _shorter(test: UnaryTest, inputs: Mapping[str, Input]) -> UnaryTest:
    """Ask a long list of codes as none of the codes it leaves out: the same for every stated value."""
    if not isinstance(test, Among) or not test.inside or len(test.codes) <= MOST_ALTERNATIVES:
        return test
    others = tuple(code for code in inputs[test.input].allowed if code not in test.codes)
    return Among(test.input, others, inside=False)


def _all_of(tests: Conjunction, uses: Counter[UnaryTest]) -> str:
    """Write a conjunction; conditions that many rules share come first, which the library does fastest."""
    ordered = sorted(tests, key=lambda test: (-uses[test], test.input))
    comparisons = [comparison for test in ordered for comparison in _comparisons(test)]
    together = f'{{"$and":[{",".join(comparisons)}]}}' if len(comparisons) > 1 else comparisons[0]
    return f'{{"all":[{{"m":{together}}}]}}'


def _comparisons(test: UnaryTest) -> list[str]:
    if isinstance(test, Truth):
        return [_equal(test.input, test.value)]
    if isinstance(test, Among):
        equal = [_equal(test.input, code) for code in test.codes]
        return equal if test.inside else [f'{{"$neq":{one}}}' for one in equal]
    return _limits(test)


def _limits(test: Interval) -> list[str]:
    written = []
    if test.low != -math.inf:
        written.append(f'{{"{"$gte" if test.low_included else "$gt"}":{_equal(test.input, test.low)}}}')
    if test.high != math.inf:
        written.append(f'{{"{"$lte" if test.high_included else "$lt"}":{_equal(test.input, test.high)}}}')
    return written


def _equal(name: str, value: Value) -> str:
    return f'{{"{name}":{_written(value)}}}'


def _written(value: Value) -> str:
    """Write a value as JSON, in rules and in facts alike: the library compares texts byte by byte."""
    if value is True:
        return "true"
    if value is False:
        return "false"
    if isinstance(value, str):
        return encode_basestring_ascii(value)
    text = repr(value)
    if "e" in text and "." not in text:  # the library refuses 1e-05 and accepts 1.0e-05
        text = text.replace("e", ".0e", 1)
    return text


def _hash(name: str) -> int:
    """FNV-1a over 32 bits, as the library hashes names."""
    value = 0x811C9DC5
    for byte in name.encode():
        value = (value ^ byte) * 0x01000193 & 0xFFFFFFFF
    return value
