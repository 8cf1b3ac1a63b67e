#!/usr/bin/env python3
"""Start to first frame, and key to frame, of two full-screen programs in turns, on a terminal of PACE_CELLS (80x24).

    cargo build --release && cargo build --release --example least
    COWLSIDE_HOME=FOLDER python3 benches/pace/pace.py target/release/cowlside target/release/examples/least

A frame is what arrives until 30 ms of quiet; its time is that of its last byte. Where the start says
first that it reads, `first` is the time of that first frame, one write. Programs are followed by
their arguments in one word. The keys of `PACE_WALK` (none if unset) lead to a place, those of `PACE_KEYS`
are measured there one by one, `PACE_RUNS` (40) times over; each run has a copy of the folder for itself
where one leads somewhere. Times are the least and the median in microseconds. Linux.
"""
import fcntl, os, pty, select, shlex, shutil, statistics, struct, sys, tempfile, termios, time

RUNS, QUIET = int(os.environ.get("PACE_RUNS", 40)), 0.03
COLUMNS, ROWS = map(int, os.environ.get("PACE_CELLS", "80x24").split("x"))
HOME, WALK = os.environ.get("COWLSIDE_HOME", ""), os.environ.get("PACE_WALK", "")


def frame(terminal, since):
    """Bytes and microseconds of what arrives until all is quiet, and of the first of it."""
    count, last, first = 0, since, None
    while select.select([terminal], [], [], QUIET if count else 5)[0]:
        try:
            got = os.read(terminal, 65536)
        except OSError:
            break
        if not got:
            break
        count, last = count + len(got), time.perf_counter_ns()
        first = first or last
    return count, (last - since) / 1000, ((first or last) - since) / 1000


def run(program, keys):
    if not WALK or not HOME:
        return run_in(HOME, program, keys)
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(HOME, folder, dirs_exist_ok=True)
        return run_in(folder, program, keys)


def run_in(folder, program, keys):
    words = shlex.split(program)
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
    acts = [(os.POSIX_SPAWN_OPEN, 0, os.ttyname(theirs), os.O_RDWR, 0),
            (os.POSIX_SPAWN_DUP2, 0, 1), (os.POSIX_SPAWN_DUP2, 0, 2)]
    start = time.perf_counter_ns()
    child = os.posix_spawn(words[0], words, dict(os.environ, TERM="xterm-256color", COWLSIDE_HOME=folder),
                           file_actions=acts, setsid=True)
    frames = [frame(ours, start)]
    for key in WALK:
        os.write(ours, key.encode())
        frame(ours, start)
        time.sleep(0.75)  # sooner the same key would be one held down
    for key in keys:
        sent = time.perf_counter_ns()
        os.write(ours, key.encode())
        frames.append(frame(ours, sent))
    os.close(theirs)
    os.close(ours)  # the terminal is gone: both programs end
    deadline = time.time() + 1
    while os.waitpid(child, os.WNOHANG)[0] == 0:
        if time.time() > deadline:
            os.kill(child, 9)
            os.waitpid(child, 0)
            break
        time.sleep(0.002)
    return frames


def main():
    keys = os.environ.get("PACE_KEYS", "").encode().decode("unicode_escape")
    taken = {program: [] for program in sys.argv[1:3]}
    for _ in range(RUNS):
        for program, frames in taken.items():
            frames.append(run(program, keys))
    for at, name in enumerate(["start", *keys]):
        for program, frames in taken.items():
            times = sorted(one[at][1] for one in frames)
            firsts = sorted(one[at][2] for one in frames)
            sizes = sorted({one[at][0] for one in frames})
            print(f"{name!r:6} {os.path.basename(program):24} least {times[0]:8.0f} us,"
                  f" median {statistics.median(times):8.0f} us, first {firsts[0]:6.0f} us, bytes {sizes[0]} to {sizes[-1]}")


if __name__ == "__main__":
    main()
