#!/usr/bin/env python3
"""Key to frame while every wait for the disk takes 3 s longer.

    cargo build --release
    COWLSIDE_HOME=FOLDER python3 benches/pace/slow_disk.py target/release/cowlside

FOLDER has the invented workshop in it (`cowlside demo -- engines`); each of SLOW_RUNS (20) runs has a
copy of it for itself. The waits are those of a library before the system's own. Each key is pressed
alone; its time is that of the last byte of its frame. A run in which a key has no frame, no answer is
shown as being saved, or one that was shown as saved is not in the file at the end by SIGTERM, ends
this. Linux and a C compiler.
"""
import fcntl, glob, os, pty, select, signal, struct, subprocess, sys, tempfile, termios, time

SLOW = r"""
#define _GNU_SOURCE
#include <stdlib.h>
#include <sys/syscall.h>
#include <unistd.h>
static void take_time(void) { const char *slow = getenv("SLOW"); if (slow && access(slow, F_OK) == 0) sleep(3); }
int fsync(int f) { take_time(); return syscall(SYS_fsync, f); }
int fdatasync(int f) { take_time(); return syscall(SYS_fdatasync, f); }
"""
RUNS, QUIET = int(os.environ.get("SLOW_RUNS", 20)), 0.03
# To the first valve; then two readings, help, the theme, a remark that is given up.
WALK, KEYS = "111111", ["0", ".", "2", "0", "\r", "?", "\x1b", "0", ".", "3", "0", "\r", "t", "n", "\x1b"]


def heard(terminal, since):
    """What arrives until all is quiet, and microseconds to its last byte."""
    got, last = b"", since
    while select.select([terminal], [], [], QUIET if got else 5)[0]:
        try:
            piece = os.read(terminal, 65536)
        except OSError:
            break
        if not piece:
            break
        got, last = got + piece, time.perf_counter_ns()
    return got, (last - since) / 1000


def press(terminal, key):
    since = time.perf_counter_ns()
    os.write(terminal, key.encode())
    return heard(terminal, since)


def entries(folder):
    return sum(open(name, "rb").read().count(b"\n") for name in glob.glob(folder + "/demo/sessions/*.jsonl"))


def run(program, library):
    with tempfile.TemporaryDirectory() as folder:
        subprocess.check_call(["cp", "-a", os.environ["COWLSIDE_HOME"] + "/.", folder])
        slow = folder + "/slow"
        child, terminal = pty.fork()
        if child == 0:
            os.environ.update(LD_PRELOAD=library, SLOW=slow, TERM="xterm-256color", COWLSIDE_HOME=folder)
            os.execv(program, [program, "demo"])
        fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        heard(terminal, 0)
        for key in WALK:
            press(terminal, key)
            time.sleep(0.75)
        before = entries(folder)
        open(slow, "w").close()
        times, shown = [], b""
        for key in KEYS:
            got, took = press(terminal, key)
            if not got:
                sys.exit(f"no frame for {key!r} after {shown[-400:]!r}")
            times.append(took)
            shown += got
            time.sleep(0.25)
        if b"saving" not in shown:
            sys.exit("nothing was shown as being saved")
        os.kill(child, signal.SIGTERM)
        last_words = b""
        while piece := heard(terminal, 0)[0]:
            last_words += piece
        os.waitpid(child, 0)
        if entries(folder) < before + 2 and b"NOT KNOWN" not in last_words:
            sys.exit("an answer is neither saved nor told")
        return times


def main():
    with tempfile.TemporaryDirectory() as folder:
        source, library = folder + "/slow.c", folder + "/slow.so"
        open(source, "w").write(SLOW)
        subprocess.check_call(["cc", "-shared", "-fPIC", "-o", library, source])
        times = sorted(sum((run(sys.argv[1], library) for _ in range(RUNS)), []))

    def at(part):
        return times[min(len(times) - 1, int(len(times) * part))] / 1000

    print(f"{len(times)} keys: median {at(0.5):.1f} ms, p99 {at(0.99):.1f} ms, most {times[-1] / 1000:.1f} ms")


main()
