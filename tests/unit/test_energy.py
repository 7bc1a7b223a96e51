"""Numbers written out to save start-up time are the library's numbers."""

from __future__ import annotations

import numpy as np

from liftgeo.chain import energy


def test_the_quadrature_nodes_are_those_of_numpy() -> None:
    """Source: numpy.polynomial.legendre.leggauss, a general-purpose library."""
    nodes, weights = np.polynomial.legendre.leggauss(12)
    np.testing.assert_allclose(energy._NODES, nodes, rtol=0, atol=1e-15)
    np.testing.assert_allclose(energy._WEIGHTS, weights, rtol=0, atol=1e-15)
