"""Spread many variants over the workers of an engine: here Dask, on this machine alone."""

import numpy as np
from dask.distributed import Client, LocalCluster

import liftgeo


def answers(mechanism, over):
    """Work out one block of variants: what a worker does."""
    many = liftgeo.batch(mechanism, over)
    return many.clearance_per_face_mm, many.peak_hand_force_n


def over_workers(client, mechanism, over, block=100_000):
    """Return clearance per face [mm] and peak hand force [N] of all variants, in their order."""
    count = len(next(iter(over.values())))
    blocks = [
        {key: values[start : start + block] for key, values in over.items()}
        for start in range(0, count, block)
    ]
    shared = client.scatter(mechanism, broadcast=True)  # sent to each worker once
    found = client.gather([client.submit(answers, shared, each, pure=False) for each in blocks])
    return tuple(np.concatenate(column) for column in zip(*found, strict=True))


if __name__ == "__main__":
    mechanism = liftgeo.load("geometries/quarry-hauler.toml")
    random = np.random.default_rng(1)
    over = {
        "arm.radius": random.uniform(32.0, 44.0, 1_000_000),
        "cable.free_play": random.uniform(0.8, 2.4, 1_000_000),
    }
    with LocalCluster(n_workers=2, threads_per_worker=1) as cluster, Client(cluster) as client:
        clearance, peak = over_workers(client, mechanism, over)
    print(f"{(clearance > 0).mean():.0%} run clear, {np.nanmin(peak):.0f} N at the lightest")
