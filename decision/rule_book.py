"""A rule book that answers: the rule folder, compiled for both means of matching, with its words prepared.

    case as JSON data -> read -> facts -> decisions -> answer

Before the freeze it recommends; during it, it reviews one cycle; after it, it reviews healing. It is the same machine
each time, over the decisions of that moment.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from typing import Any, cast

from decision.case import Case, Facts, Lesion, facts_of, read_case
from decision.citation import citation
from decision.conclusion import conclusion_digest, conclusion_of, worst_status
from decision.contradictions import contradiction_faults
from decision.decisions import Decisions, Run
from decision.derived import DERIVED
from decision.engine import ENGINE_VERSION
from decision.errors import CaseError, CaseFault, RuleBookError, UnknownVersion
from decision.folder_checks import folder_faults
from decision.freeze.lookup import FreezeTable, answering_by, load_freeze_table
from decision.lesion_answer import LesionAnswers
from decision.moments import known_beforehand
from decision.recommendation import CycleReview, HealingReview, Recommendation, TableReference
from decision.review_answer import CycleReviews, HealingReviews
from decision.rule_folder import RuleFolder
from decision.telling import Teller
from decision.trace import trace_of
from decision.vocabulary import Vocabulary
from decision.written import as_json

__all__ = ["RuleBook"]


class RuleBook:
    """A loaded rule book."""

    def __init__(self, folder: RuleFolder, table: FreezeTable | None = None) -> None:
        """Check the folder as a whole and compile it.

        Args:
            folder: The rules.
            table: The freeze table to answer by; None for the one that is shipped.

        Raises:
            RuleBookError: With every fault that only shows when files are taken together.
        """
        self._table = table or load_freeze_table()
        with answering_by(self._table):
            faults = list(folder_faults(folder))
        if faults:
            raise RuleBookError(faults)
        self.folder = folder
        self.vocabulary: Vocabulary = folder.vocabulary
        self._unnamed = DERIVED.keys() - folder.vocabulary.inputs.keys()
        self._decisions = {
            moment: Decisions(folder, [node.name for node in folder.decisions if moment in node.moments])
            for moment in ("before", "during", "after")
        }
        self._tellers = {moment: Teller(decisions) for moment, decisions in self._decisions.items()}
        self._lesions = LesionAnswers(self._tellers["before"], self._table, folder.answer_contract)
        teller_for_json = Teller(self._decisions["before"], as_json)
        self._lesions_for_json = LesionAnswers(teller_for_json, self._table, folder.answer_contract)
        self._cycles = CycleReviews(self._tellers["during"], self._table)
        self._healing = HealingReviews(self._tellers["after"], folder.answer_contract)
        self._cited = {key: citation(one) for key, one in folder.sources.items()}
        self._cited_for_json = {key: as_json(one) for key, one in self._cited.items()}

    @property
    def version(self) -> str:
        """Calendar version of the rule book."""
        return self.folder.version

    @property
    def digest(self) -> str:
        """SHA-256 over the RFC 8785 bytes of the whole folder."""
        return self.folder.digest

    @property
    def answer_contract(self) -> int:
        """Number that a release raises when it alters conclusions under unchanged rules."""
        return self.folder.answer_contract

    @property
    def freeze_table(self) -> TableReference:
        """Which freeze table estimates are read from."""
        return {"version": self._table.version, "digest": self._table.digest}

    def decisions(self, moment: str) -> Decisions:
        """The compiled decisions of a moment, for those who look into a run."""
        return self._decisions[moment]

    def teller(self, moment: str) -> Teller:
        """What tells the decisions of a moment, with the words of every rule prepared."""
        return self._tellers[moment]

    @property
    def notice(self) -> str:
        """What every answer says of itself."""
        return self.folder.notice

    def read(self, data: object, *, today: datetime.date, moment: str = "before") -> Case:
        """Read a case from JSON data; see `decision.case.read_case`. One that contradicts itself is refused.

        Raises:
            CaseError: With every fault of the case.
        """
        case = read_case(data, self.vocabulary, today=today, moment=moment)
        if faults := contradiction_faults(case, self.folder.contradictions, self.vocabulary):
            raise CaseError(faults)
        return case

    def recommend(self, case: Case | dict[str, Any], *, trace: bool = False, for_json: bool = False) -> Recommendation:
        """Recommend whether and how to freeze each lesion, with the reason for each statement.

        Args:
            case: A case, or one as JSON data (a missing date is then today's).
            trace: Also tell which rules were outranked, which are open and which did not apply.
            for_json: The answer is only written as JSON, by orjson: parts that many answers share are written
                already, and stand in it as text.

        Raises:
            CaseError: The case cannot be used.
            UnknownVersion: It asks for another version of the rule book.
            MatcherFault: The two means of matching differ; no answer is given.
        """
        case = self.checked(case, "before")
        runs = list(self.runs(case))
        writer = self._lesions_for_json if for_json else self._lesions
        lesions = [
            writer.answer(lesion.lesion_id, run, case, trace=trace)
            for lesion, run in zip(case.lesions, runs, strict=True)
        ]
        conclusions = [self._concluded(one, run) for one, run in zip(lesions, runs, strict=True)]
        answer = {"status": worst_status(one["status"] for one in lesions), "lesions": lesions}
        cited = self._cited_for_json if for_json else self._cited
        return cast("Recommendation", self._framed(case, answer, runs, conclusions, cited))

    def review_cycle(self, case: Case | dict[str, Any], *, trace: bool = False) -> CycleReview:
        """Say whether one freeze-thaw cycle was enough, and what to change next time.

        Args:
            case: A case read for the moment "during", or one as JSON data.
            trace: As `recommend`.

        Raises:
            CaseError, UnknownVersion, MatcherFault: As `recommend`.
        """
        case = self.checked(case, "during")
        run = next(self.runs(case))
        answer = {**self._cycles.answer(run), **(dict(trace_of(self._tellers["during"], run)) if trace else {})}
        conclusions = [self._concluded(answer, run)]
        return cast("CycleReview", self._framed(case, answer, [run], conclusions, self._cited))

    def review_healing(self, case: Case | dict[str, Any], *, trace: bool = False) -> HealingReview:
        """Say whether a frozen lesion heals as it should, and what to do when.

        Args:
            case: A case read for the moment "after", or one as JSON data.
            trace: As `recommend`.

        Raises:
            CaseError, UnknownVersion, MatcherFault: As `recommend`.
        """
        case = self.checked(case, "after")
        run = next(self.runs(case))
        answer = {**self._healing.answer(run, case), **(dict(trace_of(self._tellers["after"], run)) if trace else {})}
        conclusions = [self._concluded(answer, run)]
        return cast("HealingReview", self._framed(case, answer, [run], conclusions, self._cited))

    def close(self) -> None:
        """Give the matcher's memory back. The book cannot answer afterwards."""
        for decisions in self._decisions.values():
            decisions.close()

    def checked(self, case: Case | dict[str, Any], moment: str = "before") -> Case:
        """A case that this rule book may answer at a moment, read if it is not yet.

        Raises:
            CaseError: The case cannot be used, or was read for another moment.
            UnknownVersion: It asks for another version of the rule book.
        """
        if not isinstance(case, Case):
            case = self.read(case, today=datetime.datetime.now(tz=datetime.UTC).date(), moment=moment)
        if case.moment != moment:
            said = f"the case was read for the moment {case.moment}; this answer is for {moment}."
            raise CaseError([CaseFault("#", "wrong_moment", said)])
        if case.rule_book_version not in (None, self.version):
            raise UnknownVersion(f"the rule book loaded is {self.version}; no other version is at hand.")
        return case

    def facts_of(self, case: Case, lesion: Lesion) -> Facts:
        """What is known of one lesion of a case: stated, ticked, derived by the table of this book, presumed."""
        with answering_by(self._table):
            return facts_of(case, lesion, self.vocabulary)

    def runs(self, case: Case) -> Iterator[Run]:
        """Run the decisions of a case's moment, lesion by lesion, without telling what they found."""
        decisions = self._decisions[case.moment]
        for lesion in case.lesions:
            facts = self.facts_of(case, lesion)
            before = known_beforehand(case.moment, facts.known)
            if before:
                both = ({**facts.known, **before}, {**facts.without_presumptions, **before})
                facts = Facts(both[0], both[1], facts.presumed)
            yield decisions.run(facts)

    def _concluded(self, answer: Mapping[str, Any], run: Run) -> bytes:
        return conclusion_of(answer, run, self.answer_contract, self._unnamed)

    def _framed(
        self,
        case: Case,
        answer: Mapping[str, Any],
        runs: list[Run],
        conclusions: list[bytes],
        cited: Mapping[str, Any],
    ) -> dict[str, Any]:
        """Put the frame around an answer that lets it be checked and run again."""
        return {
            "status": answer["status"],
            **self._who_answered,
            "case_digest": case.digest,
            "conclusion_digest": conclusion_digest(conclusions),
            "as_of": case.as_of.isoformat(),
            "notice": self.notice,
            "sources": {key: cited[key] for key in _cited_by(runs)},
            **answer,
        }

    @cached_property
    def _who_answered(self) -> Mapping[str, Any]:
        """The part of the frame that every answer has alike."""
        return {
            "rule_book": {"version": self.version, "digest": self.digest},
            "answer_contract": self.answer_contract,
            "engine_version": ENGINE_VERSION,
            "freeze_table": self.freeze_table,
        }


def _cited_by(runs: Iterable[Run]) -> list[str]:
    """The keys of the publications behind every rule that holds, in alphabetical order."""
    held = [rule for run in runs for hits in run.hits.values() for rule in hits.held]
    return sorted({key for rule in held for key in rule.evidence.citations})
