"""What importing costs, and the command that the wheel brings."""

import subprocess
import sys

import coilwright


def run(*arguments, module="coilwright._cli"):
    return subprocess.run([sys.executable, "-m", module, *arguments], capture_output=True, text=True, check=False)


def test_import_brings_neither_matplotlib_nor_scipy():
    code = "import sys, coilwright; print(sorted({'matplotlib', 'scipy'} & set(sys.modules)))"
    printed = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert printed.stdout == "[]\n"


def test_every_public_name_exists_and_is_documented():
    for name in coilwright.__all__:
        assert getattr(coilwright, name).__doc__, name


def test_the_command_is_the_same_version():
    printed = run("--version")
    assert printed.stdout == f"coilwright {coilwright.__version__}\n"
    assert printed.returncode == 0


def test_the_command_refuses_with_exit_code_2():
    printed = run("check", "missing.wav")
    assert printed.returncode == 2
    assert printed.stdout == ""
    assert printed.stderr.startswith("error: missing.wav: cannot be read")


def test_other_threads_run_while_a_capture_is_checked(sandpiper):
    import threading

    done = threading.Event()
    turns = 0
    worker = threading.Thread(target=lambda: (coilwright.check(sandpiper / "healthy.wav"), done.set()))
    worker.start()
    while not done.wait(0.0005):
        turns += 1
    worker.join()
    assert turns > 0
