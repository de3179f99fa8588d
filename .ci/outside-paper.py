#!/usr/bin/env python3
"""What a plan looks like to programs that had no part in writing it. Not a part of `cargo test`.

    .ci/outside-paper.py target/release/eavewright           compares
    .ci/outside-paper.py target/release/eavewright --renew   writes the text of the pages anew, to be read as a diff

The text of every page, read by poppler, against fixtures/pages; a 40 ft eave measured on paper at the scale in the title
block, in the vectors that poppler's cairo writes; the bar and the colours, on a terminal of its own.
"""
import os, pty, re, subprocess, sys, tempfile

program, renew = sys.argv[1], "--renew" in sys.argv[2:]
root = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..")
work = tempfile.TemporaryDirectory()
faults = []


def run(*command, **more):
    return subprocess.run(command, check=True, capture_output=True, text=True, **more).stdout


def takeoff(plan, name, *more):
    pdf = os.path.join(work.name, name + ".pdf")
    run(program, "takeoff", os.path.join(root, plan), "--quiet", "--pdf", pdf, *more)
    return pdf


def text_of_pages():
    house, job = "examples/quillback-road.svg", os.path.join(root, "examples/quillback-road.toml")
    few = ("--sheets", "plan,schedules,view,crew")
    cases = [
        ("quillback-road", house, ()),
        ("quillback-road-with-job", house, ("--job", job)),
        ("quillback-road-metres", house, ("--units", "m", "--sheets", "plan,schedules,view,courses")),
        ("octagon-turret", "fixtures/roofs/octagon-turret-10ft-12in12/plan.svg", few),
        ("lantern-on-gable", "fixtures/roofs/lantern-on-gable-6in12/plan.svg", few),
        ("gable-dormer-a3", "fixtures/roofs/gable-dormer-6in12/plan.svg", ("--paper", "a3", *few)),
    ]
    for name, plan, more in cases:
        pdf = takeoff(plan, name, *more)
        pages = run("pdftotext", "-raw", pdf, "-").rstrip("\f").split("\f")
        text = "".join(f"==== sheet {i + 1}\n{page}" for i, page in enumerate(pages))
        path = os.path.join(root, "fixtures/pages", name + ".txt")
        if renew:
            os.makedirs(os.path.dirname(path), exist_ok=True)
            open(path, "w", encoding="utf-8").write(text)
        wanted = open(path, encoding="utf-8").read()
        if text != wanted:
            differ = [i + 1 for i, (a, b) in enumerate(zip(text.split("==== "), wanted.split("==== "))) if a != b]
            faults.append(f"{name}: the text of the pages differs from {path} (part {differ}); read it, then --renew")
        untitled = [i + 1 for i, page in enumerate(pages) if f"{i + 1} of {len(pages)}" not in page]
        if untitled:
            faults.append(f"{name}: sheets {untitled} do not say which they are")
        print(f"{name}: text of {len(pages)} sheets read")


def eave_on_paper():
    for paper, more in [("letter", ()), ("tabloid", ()), ("A3", ("--units", "m"))]:
        pdf = takeoff("fixtures/roofs/gable-40x24-6in12/plan.svg", "gable", "--sheets", "plan", "--paper", paper, *more)
        ratio = int(re.search(r"1:(\d+)", run("pdftotext", "-raw", pdf, "-")).group(1))
        svg = os.path.join(work.name, "gable.svg")
        run("pdftocairo", "-svg", pdf, svg)
        longest = 0.0
        for path in re.findall(r"<path[^>]*>", open(svg, encoding="utf-8").read()):
            # Eaves are drawn 0.7 mm wide.
            width = re.search(r'stroke-width[:=]"?([\d.]+)', path)
            ends = re.search(r' d="M ([\d.]+) ([\d.]+) L ([\d.]+) ([\d.]+)', path)
            if width and ends and abs(float(width.group(1)) - 0.7 * 72 / 25.4) < 0.02:
                x1, y1, x2, y2 = map(float, ends.groups())
                scale = re.search(r'transform="matrix\(([-\d.]+)', path)
                longest = max(longest, ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5 * abs(float(scale.group(1)) if scale else 1.0))
        feet = longest / 72 / 12 * ratio
        if abs(feet - 40) > 0.02:
            faults.append(f"{paper}: an eave of 40 ft measures {feet:.3f} ft at 1:{ratio}")
        print(f"{paper}: an eave of 40 ft measures {feet:.3f} ft at 1:{ratio}")


def on_a_terminal(*command, **environment):
    """What a program writes to a terminal that is its standard error."""
    outer, inner = pty.openpty()
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=inner, env={**os.environ, "TERM": "xterm", "COLUMNS": "80", **environment})
    os.close(inner)
    said = b""
    while True:
        try:
            piece = os.read(outer, 4096)
        except OSError:
            break
        if not piece:
            break
        said += piece
    child.wait()
    return said.decode("utf-8", "replace")


def terminal():
    long = os.path.join(work.name, "long.svg")
    lines = "".join(f'<line x1="{a}" y1="{b}" x2="{c}" y2="{d}" stroke="black"/>' for a, b, c, d in
                    [(0, 0, 12000, 0), (12000, 0, 12000, 40), (12000, 40, 0, 40), (0, 40, 0, 0), (0, 20, 12000, 20)])
    open(long, "w").write(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-10 -10 12020 60"><g>{lines}</g>'
                          '<text x="6000" y="10" font-size="4">6/12</text><text x="6000" y="30" font-size="4">6/12</text></svg>')
    command = [program, "takeoff", long, "--scale", "1ft=1", "--pdf", os.path.join(work.name, "long.pdf")]
    said = on_a_terminal(*command)
    if "laying the courses" not in said and "drawing the sheets" not in said:
        faults.append("no bar for a plan that takes long: " + repr(said[:300]))
    piped = subprocess.run(command, capture_output=True, text=True)
    if "\x1b" in piped.stderr + piped.stdout or "drawing the sheets" in piped.stderr:
        faults.append("the bar or a colour reached a pipe")
    quick = [program, "takeoff", os.path.join(root, "examples/quillback-road.svg"), "--no-pdf"]
    if "\x1b[1m" not in on_a_terminal(*quick):
        faults.append("nothing is bold on a terminal")
    if "\x1b[1m" in on_a_terminal(*quick, NO_COLOR="1"):
        faults.append("NO_COLOR is not respected")
    print("terminal: the bar appears, colours stay where they belong")


text_of_pages()
eave_on_paper()
terminal()
if faults:
    sys.exit("\n".join(faults))
