"""The fuzzer: `python -m tests.fuzzing.fuzz TARGET --seconds 600 --folder FOLDER`.

It goes on after an input that breaks something: that is put into the folder under the name of the
place where it broke, with the error beside it, and of the same place only a shorter one is kept.
`count-….json` there tells how much was tried. Needs `pip install -e '.[test,fuzz]'`.
"""

from __future__ import annotations

import argparse
import gc
import hashlib
import importlib
import json
import pkgutil
import re
import sys
import time
import traceback
from collections.abc import Callable
from pathlib import Path
from random import Random

import atheris

with atheris.instrument_imports(include=["waterlint"]):
    import waterlint

    for _module in pkgutil.walk_packages(waterlint.__path__, "waterlint."):
        if not _module.name.endswith("__main__") and not _module.name.startswith("waterlint.docs"):
            importlib.import_module(_module.name)

from tests.fuzzing.mutating import mutate, seeds
from tests.fuzzing.targets import TARGETS, surroundings

#: Targets whose input is a text of the format, and is changed as one most of the time.
_TEXTS = frozenset({"reader", "linter", "config", "fix"})
_SHARE = 0.8
_SHOWN_EVERY = 500


def main() -> None:
    """Run one target."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("target", choices=tuple(TARGETS))
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--folder", type=Path, required=True)
    chosen = parser.parse_args()
    folder: Path = chosen.folder.resolve() / chosen.target
    corpus = folder / "corpus"
    corpus.mkdir(parents=True, exist_ok=True)
    _plant(chosen.target, corpus)
    options = [
        *(sys.argv[0], str(corpus), f"-max_total_time={chosen.seconds}", "-timeout=10"),
        *("-rss_limit_mb=1500", "-max_len=8192", "-print_final_stats=1"),
        f"-artifact_prefix={folder}/",
    ]
    watched = _Watched(TARGETS[chosen.target], folder)
    mutator = _mutator if chosen.target in _TEXTS else None
    gc.disable()  # as the command line does; looking for cycles takes a third of the time
    with surroundings():
        atheris.Setup(options, watched, custom_mutator=mutator)
        atheris.Fuzz()


def _plant(target: str, corpus: Path) -> None:
    texts = [text.encode("utf-8", "surrogateescape") for text in seeds()]
    if target == "units":
        texts = [b"\0\0" + word.encode() for text in seeds() for word in _quantities(text)]
        texts = [bytes((n % 251, n // 7 % 251)) + word[2:] for n, word in enumerate(texts)]
    if target == "baseline":
        entry = {"path": "a.yaml", "rule": "batch-sodium", "level": "note", "pointer": "/a/b"}
        data = {"waterlint": "baseline/1", "findings": [entry, {**entry, "count": 2, "path": "b"}]}
        texts = [json.dumps(data).encode(), b"[]", b"{}"]
    for text in texts:
        (corpus / hashlib.sha1(text).hexdigest()).write_bytes(text)


def _quantities(text: str) -> list[str]:
    return re.findall(r"(?:[<.] ?)?\d[^,{}\n#]*", text)


def _mutator(data: bytes, max_size: int, seed: int) -> bytes:
    random = Random(seed)
    if random.random() > _SHARE:
        changed: bytes = atheris.Mutate(data, max_size)
        return changed
    text = mutate(data.decode("utf-8", "surrogateescape"), random)
    return text.encode("utf-8", "surrogatepass" if random.random() < 0.1 else "replace")[:max_size]


class _Watched:
    """A target whose failures are kept, one of each place, instead of ending the run."""

    def __init__(self, target: Callable[[bytes], None], folder: Path) -> None:
        self.target = target
        self.folder = folder
        self.count = 0
        self.slowest = 0.0
        self.started = time.time()

    def __call__(self, data: bytes) -> None:
        self.count += 1
        if self.count % _SHOWN_EVERY == 0:
            self._tell()
            gc.collect()
        started = time.process_time()
        try:
            self.target(data)
        except Exception as error:
            self._keep(data, error)
        took = time.process_time() - started
        if took > max(self.slowest, 0.5):
            self.slowest = took
            (self.folder / f"slow-{took:.2f}").write_bytes(data)

    def _keep(self, data: bytes, error: Exception) -> None:
        frames = traceback.extract_tb(error.__traceback__)
        last = frames[-1]
        own = next((each for each in reversed(frames) if "/waterlint/" in each.filename), last)
        where = f"{type(error).__name__}-{Path(own.filename).stem}-{own.lineno}-{last.lineno}"
        kept = self.folder / f"broken-{where}"
        if kept.exists() and len(kept.read_bytes()) <= len(data):
            return
        kept.write_bytes(data)
        told = "".join(traceback.format_exception(error))
        kept.with_suffix(".txt").write_text(told, encoding="utf-8", errors="backslashreplace")

    def _tell(self) -> None:
        told = {"executions": self.count, "seconds": round(time.time() - self.started, 1)}
        (self.folder / f"count-{int(self.started)}.json").write_text(json.dumps(told))


if __name__ == "__main__":
    main()
