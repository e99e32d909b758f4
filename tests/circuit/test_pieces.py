"""Pieces of joined terminals against networkx's connected components."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest

from probebook.circuit import piece_numbers


@pytest.mark.parametrize("seed", range(20))
def test_pieces_are_the_connected_components(seed: int) -> None:
    """Terminals have one number where networkx finds them connected, and it is that of the first of them."""
    rng = np.random.default_rng(seed)
    terminals = int(rng.integers(1, 30))
    joined = rng.integers(0, terminals, (int(rng.integers(0, 30)), 2))
    graph = nx.Graph()
    graph.add_nodes_from(range(terminals))
    graph.add_edges_from(joined.tolist())
    wanted = {terminal: min(piece) for piece in nx.connected_components(graph) for terminal in piece}
    assert piece_numbers(terminals, joined) == [wanted[terminal] for terminal in range(terminals)]


def test_nothing_joined_is_a_piece_each() -> None:
    """Without a join every terminal is a piece of its own."""
    assert piece_numbers(3, []) == [0, 1, 2]
