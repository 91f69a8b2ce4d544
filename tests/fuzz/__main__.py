"""Fuzz a reader, guided by the coverage of its code: python -m tests.fuzz NAME [--seconds 120] [--corpus FOLDER]

Needs atheris (.ci/fuzz.lock). NAME is a harness: a module beside this one. An input that breaks it is written beside
the corpus; it belongs into findings/NAME, where the tests try it ever after. Ends with another code than 0 when
something was found, a hang among it.
"""

from __future__ import annotations

import argparse
import hashlib
import random
import sys
import tempfile
from pathlib import Path

import atheris

from tests.fuzz.harness import NAMES, findings, harness_named, mutated_bytes

LONGEST = 16_384
HANGS_AFTER_S = 20


def main() -> None:
    """Make the corpus and fuzz. The process ends here."""
    asked = _arguments()
    with atheris.instrument_imports(include=["api", "decision"]):
        harness = harness_named(asked.name)
    corpus = asked.corpus or Path(tempfile.mkdtemp(prefix="fuzz-"))
    corpus.mkdir(parents=True, exist_ok=True)
    for data in (*harness.seeds(), *findings(asked.name)):
        (corpus / hashlib.sha256(data).hexdigest()[:16]).write_bytes(data)

    def change(data: bytes, most: int, seed: int) -> bytes:
        chance = random.Random(seed)
        if harness.mutate is None or chance.random() < 0.5:
            return bytes(atheris.Mutate(data, most))
        return harness.mutate(data, chance)[:most] or mutated_bytes(data, chance)[:most]

    options = [
        f"-max_total_time={asked.seconds}",
        f"-max_len={LONGEST}",
        f"-timeout={HANGS_AFTER_S}",
        f"-seed={asked.seed}",
        f"-artifact_prefix={corpus.parent}/{asked.name}-",
        "-rss_limit_mb=4096",
        "-print_final_stats=1",
        "-verbosity=1",
    ]
    atheris.Setup([sys.argv[0], *options, str(corpus)], harness.hold, custom_mutator=change)
    atheris.Fuzz()


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("name", choices=NAMES)
    parser.add_argument("--seconds", type=int, default=120)
    parser.add_argument("--corpus", type=Path)
    parser.add_argument("--seed", type=int, default=1)
    return parser.parse_args()


if __name__ == "__main__":
    main()
