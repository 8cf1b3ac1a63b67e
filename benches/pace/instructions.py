#!/usr/bin/env python3
r"""Instructions of a start to the first frame and of a key to its frame, on a terminal of PACE_CELLS (80x24).

    cargo rustc --release --bin cowlside && cargo build --release --example least
    COWLSIDE_HOME=FOLDER python3 benches/pace/instructions.py 'target/release/cowlside demo' 111111 '5\x7f'
    python3 benches/pace/instructions.py target/release/examples/least '' n

The words are the program with its arguments, the keys that lead to a place, and keys that are pressed
there by turns, forty in all; without the last two only the start is counted. Each run has a copy of the
folder for itself, whose workshop of `demo` must have been made. The program is ended by SIGTERM, whose
few instructions are counted with the start. They repeat to about one in a hundred; times do not. Needs
valgrind. Linux.
"""
import fcntl, os, pty, re, select, shlex, shutil, signal, struct, sys, tempfile, termios, time

PRESSED = 40
HOME = os.environ.get("COWLSIDE_HOME", "")
COLUMNS, ROWS = map(int, os.environ.get("PACE_CELLS", "80x24").split("x"))


def until_quiet(terminal, first):
    """Reads until nothing has come for a while."""
    wait = first
    while select.select([terminal], [], [], wait)[0]:
        os.read(terminal, 65536)
        wait = 0.4


def counted(program, walk, keys=""):
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
    with tempfile.TemporaryDirectory() as folder:
        out, home = os.path.join(folder, "out"), os.path.join(folder, "home")
        shutil.copytree(HOME, home) if HOME else os.mkdir(home)
        words = ["valgrind", "--tool=callgrind", "--quiet", f"--callgrind-out-file={out}"]
        acts = [(os.POSIX_SPAWN_OPEN, 0, os.ttyname(theirs), os.O_RDWR, 0),
                (os.POSIX_SPAWN_DUP2, 0, 1), (os.POSIX_SPAWN_DUP2, 0, 2)]
        variables = dict(os.environ, TERM="xterm-256color", COWLSIDE_HOME=home)
        child = os.posix_spawnp("valgrind", words + shlex.split(program), variables,
                                file_actions=acts, setsid=True)
        until_quiet(ours, 30)
        for key in walk:
            os.write(ours, key.encode())
            until_quiet(ours, 10)
            time.sleep(0.75)  # sooner the same key would be one held down
        for key in keys:
            os.write(ours, key.encode())
            until_quiet(ours, 10)
        os.kill(child, signal.SIGTERM)
        until_quiet(ours, 1)
        os.waitpid(child, 0)
        with open(out) as file:
            return sum(int(n) for n in re.findall(r"^totals: (\d+)", file.read(), re.M))


def main():
    program, walk, keys = (sys.argv[1:] + ["", ""])[:3]
    walk, keys = (part.encode().decode("unicode_escape") for part in (walk, keys))
    start = counted(program, "")
    print(f"{start:12,} instructions: start to first frame of {program}")
    if keys:
        pressed = (keys * PRESSED)[:PRESSED]
        before = counted(program, walk) if walk else start
        key = (counted(program, walk, pressed) - before) // PRESSED
        print(f"{key:12,} instructions: a key to its frame, by {PRESSED} keys after {walk!r}")


if __name__ == "__main__":
    main()
