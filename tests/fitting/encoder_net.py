"""The encoder as PyTorch fits it, for tests.fitting.encoder; see there what must be installed."""

from __future__ import annotations

import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import torch
from numpy.typing import NDArray
from safetensors.torch import load_file
from torch.optim.swa_utils import AveragedModel, get_ema_multi_avg_fn
from transformers import BertConfig, BertModel

from sync.follow.encoder import HEADS
from sync.follow.model import KINDS, MODES
from tests.fitting.encoder import (
    BATCH,
    COUNT,
    DECAY,
    HEAD_RATE,
    IMPOSSIBLE,
    KEPT,
    LAYERS,
    LEAST_RATE,
    LEFT_OUT,
    LEFT_OUT_WITHIN,
    RATE,
    STEEPEST,
    UNREAD,
    WARM,
    Array,
    Batch,
    Row,
    Talk,
    batch,
)

UNREAD_TOKEN = 100
"""[UNK] in the encoder's vocabulary."""
HEAD_SIZES = {"named": 1, "kinds": len(KINDS) * len(MODES), "modes": len(MODES)}

Window = tuple[Talk, int]


def network(folder: Path, tells: dict[str, int], states: dict[str, int]) -> Any:
    """The encoder with a head each, and weights for what readings and states tell (numbers from 1)."""
    weights = load_file(folder / "model.safetensors")
    words, width = weights["embeddings.word_embeddings.weight"].shape
    config = BertConfig(
        vocab_size=words,
        hidden_size=width,
        num_hidden_layers=LAYERS,
        num_attention_heads=HEADS,
        intermediate_size=4 * width,
        hidden_act="gelu_pytorch_tanh",
        hidden_dropout_prob=LEFT_OUT_WITHIN,
        attention_probs_dropout_prob=LEFT_OUT_WITHIN,
    )
    encoder = BertModel(config, add_pooling_layer=False)
    encoder.load_state_dict(weights, strict=False)
    parts = {"encoder": encoder, "left-out": torch.nn.Dropout(LEFT_OUT)}
    parts |= {name: torch.nn.Linear(2 * width, size) for name, size in HEAD_SIZES.items()}
    for name, numbers, size in (("tells", tells, 1), ("states", states, HEAD_SIZES["kinds"])):
        parts[name] = torch.nn.EmbeddingBag(len(numbers) + 1, size, mode="sum", padding_idx=0)
        torch.nn.init.zeros_(parts[name].weight)
    for name in HEAD_SIZES:
        torch.nn.init.normal_(parts[name].weight, std=0.01)
        torch.nn.init.zeros_(parts[name].bias)
    return torch.nn.ModuleDict(parts)


def _numbers(rows: Sequence[Sequence[str]], known: dict[str, int]) -> Any:
    """A row of numbers for each, filled up with zeros."""
    found = [[known[name] for name in row if name in known] for row in rows]
    width = max(1, max(map(len, found)))
    return torch.tensor([[*row, *[0] * (width - len(row))] for row in found])


def _states(net: Any, read: Batch) -> Any:
    width = max(map(len, read.tokens))
    tokens = torch.tensor([[*row, *[0] * (width - len(row))] for row in read.tokens])
    real = torch.tensor([[1] * len(row) + [0] * (width - len(row)) for row in read.tokens])
    if net.training:
        tokens[(torch.rand(tokens.shape) < UNREAD) & (real > 0)] = UNREAD_TOKEN
    return net["encoder"](input_ids=tokens, attention_mask=real).last_hidden_state


def _ends(net: Any, states: Any, rows: Sequence[Row]) -> Any:
    number, first, last = torch.tensor(rows).T
    return net["left-out"](torch.cat([states[number, first], states[number, last]], 1))


def losses(net: Any, read: Batch, tells: dict[str, int], states: dict[str, int]) -> dict[str, tuple[Any, int]]:
    """Of each head the sum of the log-losses, and of how many."""
    hidden = _states(net, read)
    rows, names, told = zip(*read.names, strict=True)
    scores = (net["named"](_ends(net, hidden, rows)) + net["tells"](_numbers(told, tells)))[:, 0]
    wanted = torch.tensor([name.named for name in names], dtype=torch.float32)
    cross = torch.nn.functional.binary_cross_entropy_with_logits(scores, wanted, reduction="sum")
    found = {"named": (cross, len(rows))}
    if not read.steps:
        return found
    rows, steps = zip(*read.steps, strict=True)
    ends = _ends(net, hidden, rows)
    modes = torch.tensor([step.mode for step in steps])
    kinds = net["kinds"](ends) + net["states"](_numbers([step.state for step in steps], states))
    kinds = kinds.view(len(steps), len(MODES), len(KINDS))[torch.arange(len(steps)), modes]
    impossible = torch.tensor([[kind not in step.allowed for kind in range(len(KINDS))] for step in steps])
    kinds = kinds.masked_fill(impossible, IMPOSSIBLE)
    entropy = torch.nn.functional.cross_entropy
    found["kinds"] = entropy(kinds, torch.tensor([step.kind for step in steps]), reduction="sum"), len(steps)
    found["modes"] = entropy(net["modes"](ends), modes, reduction="sum"), len(steps)
    return found


def fit(net: Any, rounds: Sequence[Sequence[Window]], tells: dict[str, int], states: dict[str, int]) -> Any:
    """The network fitted on the windows of each round in turn; words and positions stay as they are."""
    for name, weight in net["encoder"].named_parameters():
        weight.requires_grad = "word_" not in name and "position_" not in name
    encoder = [weight for weight in net["encoder"].parameters() if weight.requires_grad]
    heads = [weight for name, weight in net.named_parameters() if not name.startswith("encoder")]
    rates = RATE, HEAD_RATE
    optimiser = torch.optim.AdamW(
        [{"params": params, "lr": rate} for params, rate in zip((encoder, heads), rates, strict=True)],
        weight_decay=DECAY,
    )
    mean = AveragedModel(net, multi_avg_fn=get_ema_multi_avg_fn(KEPT))
    batches = [windows[at : at + BATCH] for windows in rounds for at in range(0, len(windows), BATCH)]
    for step, windows in enumerate(batches):
        share = min(1.0, (step + 1) / (WARM * len(batches))) * max(LEAST_RATE, 1 - step / len(batches))
        for group, rate in zip(optimiser.param_groups, rates, strict=True):
            group["lr"] = rate * share
        lost = losses(net, batch(windows), tells, states)
        optimiser.zero_grad()
        sum(COUNT[name] * loss / count for name, (loss, count) in lost.items()).backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), STEEPEST)
        optimiser.step()
        mean.update_parameters(net)
        if step % 50 == 49:
            print(step + 1, len(batches), {name: round(float(loss) / count, 3) for name, (loss, count) in lost.items()})
    return mean.module


def read(net: Any, windows: Batch) -> dict[str, list[Array]]:
    """What the heads say of names and steps, without what readings and states tell."""
    rows = {"named": [row for row, _, _ in windows.names]}
    rows["kinds"] = rows["modes"] = [row for row, _ in windows.steps]
    net.eval()
    with torch.no_grad():
        states = _states(net, windows)
        return {
            name: list(net[name](_ends(net, states, found)).double().numpy()) if found else []
            for name, found in rows.items()
        }


def arrays(net: Any) -> dict[str, NDArray[np.float32]]:
    """All weights by the names that transformers gives them, those of the heads by the heads' names."""
    return {name.removeprefix("encoder."): weight.float().numpy() for name, weight in net.state_dict().items()}


def seeded(seed: int) -> random.Random:
    torch.manual_seed(seed)
    return random.Random(seed)
