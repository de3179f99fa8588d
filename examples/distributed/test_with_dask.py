"""Runs the Dask example with two worker processes, kills it in the middle, starts it again, and compares the tables with
those of one plain run. Needs requirements.txt and a built program:

    python test_with_dask.py PATH/TO/eavewright [COUNT]
"""

import os
import pathlib
import re
import signal
import subprocess
import sys
import tempfile
import time

import pyarrow.parquet

HERE = pathlib.Path(__file__).resolve().parent
ROOFS = HERE.parent.parent / "fixtures" / "roofs"


def make_plans(folder, count):
    """Roofs of the fixtures, each as often as it takes, told apart by a comment and every fifth by its pitches."""
    originals = sorted(ROOFS.glob("*/plan.svg"))
    for n in range(count):
        text = originals[n % len(originals)].read_text(encoding="utf-8")
        if n % 5 == 0:
            text = re.sub(r">6/12<", f">{4 + n % 7}/12<", text)
        (folder / f"lot-{n:05}.svg").write_text(text + f"<!-- {n} -->\n", encoding="utf-8")


def finished(out):
    return sum(1 for _ in out.glob("plans/*.json"))


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 300
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        plans, out, plain = folder / "plans", folder / "out", folder / "plain"
        plans.mkdir()
        make_plans(plans, count)
        command = [sys.executable, HERE / "with_dask.py", plans, "--out", out, "--program", program]

        first = subprocess.Popen(command, start_new_session=True, stdout=subprocess.DEVNULL)
        while finished(out) < count // 5:
            assert first.poll() is None, "the first run ended before it could be killed"
            time.sleep(0.01)
        os.killpg(first.pid, signal.SIGKILL)
        first.wait()
        kept = {p: p.stat().st_mtime_ns for p in out.glob("plans/*.json")}
        assert count // 5 <= len(kept) < count, len(kept)
        assert not (out / "plans.parquet").exists()
        print(f"killed with {len(kept)} of {count} plans finished")

        subprocess.run(command, check=True)
        again = [p for p, made in kept.items() if p.stat().st_mtime_ns != made]
        assert not again, f"{len(again)} finished plans were made again"

        subprocess.run([program, "batch", plans, "--out", plain, "--quiet"], check=False)
        for name in ["plans", "faces", "edges"]:
            one, other = (pyarrow.parquet.read_table(at / f"{name}.parquet") for at in (out, plain))
            order = [("plan", "ascending"), (other.column_names[1], "ascending")]
            assert one.sort_by(order).equals(other.sort_by(order)), f"{name} differ"
            print(f"{name}: {other.num_rows} rows, the same as of one plain run")
    print("1 passed, 0 failed")


if __name__ == "__main__":
    main()
