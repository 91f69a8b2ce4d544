"""What the codes of the rule book mean to somebody who is not a vet. A code without words here keeps the book's own."""

from __future__ import annotations

__all__ = ["for_an_owner"]

_SAID = {
    # what is done instead of freezing
    "leave_alone": "It is left alone and watched.",
    "excise": "It is cut out in a small operation.",
    "ligate": "Its stalk is tied off.",
    "needle_sample": "Some cells are taken with a thin needle and looked at.",
    "biopsy": "A small piece is taken and looked at in a laboratory.",
    "medical": "It is treated with medicine.",
    # what the verdict means
    "watch": "it is watched for now.",
    "defer": "freezing is put off.",
    "treat_first": "something else is treated first.",
    "sample_first": "a sample is looked at first.",
    "do_not_freeze": "another way is better.",
}
_AS_VERDICT = {"refer": "a specialist is asked first."}
_AS_STEP = {"refer": "A specialist sees it."}


def for_an_owner(code: str, words: str, *, verdict: bool = False) -> str:
    """Say a code in plain words.

    Args:
        code: An alternative to freezing, or a verdict.
        words: The words of the rule book, for a code that is not known here.
        verdict: Whether it is a verdict.

    >>> for_an_owner("biopsy", "take a biopsy")
    'A small piece is taken and looked at in a laboratory.'
    >>> for_an_owner("something_new", "do something new")
    'Do something new.'
    """
    said = {**_SAID, **(_AS_VERDICT if verdict else _AS_STEP)}
    return said.get(code, f"{words}." if verdict else f"{words[:1].upper()}{words[1:]}.")
