"""Named features as the columns of a matrix."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from scipy.sparse import csr_matrix


def vocabulary(rows: Sequence[Sequence[str]], least: int) -> list[str]:
    """The features that at least so many rows have, in order."""
    counts = Counter(feature for row in rows for feature in row)
    return [feature for feature, count in sorted(counts.items()) if count >= least]


def matrix(rows: Sequence[Sequence[str]], names: Sequence[str]) -> csr_matrix:
    """A row for each row, with ones for its features that have a name."""
    index = {feature: number for number, feature in enumerate(names)}
    indices, pointers = [], [0]
    for row in rows:
        indices += [index[feature] for feature in row if feature in index]
        pointers.append(len(indices))
    return csr_matrix((np.ones(len(indices)), indices, pointers), shape=(len(rows), len(names)))
