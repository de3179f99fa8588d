"""Takes off plans on several worker processes with Dask, one share of the batch a task, and gathers the tables.

    python with_dask.py PLANS --out OUT [--program eavewright] [--shares 8] [--workers 2] [--scheduler ADDRESS]
                        [-- OPTIONS OF BATCH]

Killed at any moment and started again, it goes on where it was: a share's finished plans are kept by the program
itself, and a share whose plans are all finished costs no more than looking.
"""

import argparse
import pathlib
import subprocess
import sys

import pyarrow
import pyarrow.parquet
from distributed import Client, LocalCluster, as_completed

TABLES = ["plans", "faces", "edges"]


def share(program, plans, out, index, count, options):
    """One share, on one core of whichever machine takes it. Returns what the program says of it."""
    command = [program, "batch", plans, "--out", out, "--shard", f"{index}/{count}", "--jobs", "1", *options]
    done = subprocess.run(command, capture_output=True, text=True)
    # 1: some plans could not be taken off, as their rows say. Anything worse is for Dask to try again.
    if done.returncode not in (0, 1):
        raise RuntimeError(f"share {index} of {count}: {done.stderr[-2000:]}")
    return done.stdout.splitlines()[0]


def gather(out, count):
    """One table of each kind from those of the shares, in the order of the plans' names."""
    for name in TABLES:
        shares = [pyarrow.parquet.read_table(out / f"{name}.{i}-of-{count}.parquet") for i in range(1, count + 1)]
        table = pyarrow.concat_tables(shares)
        order = [("plan", "ascending")]
        if name == "edges":
            order.append(("edge", "ascending"))
        if name == "faces":
            order.append(("face", "ascending"))
        part = out / f"{name}.parquet.part"
        pyarrow.parquet.write_table(table.sort_by(order), part)
        part.replace(out / f"{name}.parquet")
        print(f"{name}: {table.num_rows} rows")


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("plans", help="folder, pattern or list, as `eavewright batch` takes it; seen by all workers")
    parser.add_argument("--out", required=True, type=pathlib.Path, help="folder of results; seen by all workers")
    parser.add_argument("--program", default="eavewright")
    parser.add_argument("--shares", type=int, default=8, help="several times the workers, so that none is idle long")
    parser.add_argument("--workers", type=int, default=2, help="worker processes on this machine")
    parser.add_argument("--scheduler", help="address of a running Dask scheduler, instead of workers here")
    own, options = parser.parse_known_args()
    options = [o for o in options if o != "--"]

    own.out.mkdir(parents=True, exist_ok=True)
    cluster = own.scheduler or LocalCluster(n_workers=own.workers, threads_per_worker=1, dashboard_address=None)
    with Client(cluster) as client:
        todo = [
            client.submit(share, own.program, own.plans, str(own.out), i, own.shares, options, retries=2, pure=False)
            for i in range(1, own.shares + 1)
        ]
        for finished in as_completed(todo):
            print(finished.result(), flush=True)
    gather(own.out, own.shares)


if __name__ == "__main__":
    sys.exit(main())
