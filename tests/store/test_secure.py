"""A server across a network: where the program logs in, what it says where it would not, where a password stays."""

import os
import pty
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import pytest

from register.errors import Unavailable
from register.store.address import Address, place_of
from register.store.opening import open_place
from register.store.server_faults import PasswordWanted
from tests.servers import FOR_SPEED, Server, running

SECRET: Final = "tern-7-slipway-9"  # noqa: S105 - of this server alone
RULES: Final = "local all chief trust\nhostssl all all all scram-sha-256\n"


@dataclass
class Harbour:
    """A server that can be reached by its name alone, with encryption and a password."""

    server: Server

    @property
    def folder(self) -> Path:
        return self.server.folder

    def address(self, more: str = "", host: str = "localhost") -> Address:
        made = place_of(f"postgresql+psycopg://kim@{host}:{self.server.port}/own{more}")
        assert isinstance(made, Address)
        return replace(made, password=SECRET)

    @property
    def known(self) -> str:
        """What names the authority that vouches for it."""
        return f"?sslrootcert={self.folder / 'authority.crt'}"

    def again(self, *settings: str) -> None:
        """Start it once more, otherwise set."""
        self.server.stop()
        self.server.settings = (*FOR_SPEED, "listen_addresses=127.0.0.1", *settings)
        self.server.start()


def encrypted(folder: Path, certificate: str) -> tuple[str, ...]:
    return "ssl=on", f"ssl_cert_file={folder / certificate}.crt", f"ssl_key_file={folder / certificate}.key"


@pytest.fixture(scope="module")
def harbour() -> Iterator[Harbour]:
    with running() as server:
        for name, host in (("authority", ""), ("right", "DNS:localhost"), ("wrong", "DNS:elsewhere.example")):
            certify(server.folder, name, host)
        (server.folder / "data" / "pg_hba.conf").write_text(RULES, encoding="ascii")
        server.run("CREATE DATABASE own TEMPLATE template0")
        server.build("own").close()
        server.run(f"CREATE ROLE kim LOGIN PASSWORD '{SECRET}' IN ROLE retest_contractor")
        server.run("INSERT INTO access VALUES ('kim', 'contractor', NULL, gen_random_uuid())", "own")
        server.port = free_port()
        made = Harbour(server)
        made.again(*encrypted(server.folder, "right"))
        yield made


def free_port() -> int:
    with closing(socket.socket()) as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def certify(folder: Path, name: str, host: str) -> None:
    """Make a certificate: of an authority without a host, else of a server that the authority vouches for."""
    made = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days"]
    more = ["-CA", "authority.crt", "-CAkey", "authority.key", "-addext", f"subjectAltName={host}"] if host else []
    files = ["-keyout", f"{name}.key", "-out", f"{name}.crt"]
    command = [*made, "2", "-subj", f"/CN={name}", *files, *more]
    subprocess.run(command, cwd=folder, check=True, capture_output=True)
    kept = (folder / "data").stat()
    (folder / f"{name}.key").chmod(0o600)
    os.chown(folder / f"{name}.key", kept.st_uid, kept.st_gid)


def test_a_server_that_proves_its_name_is_logged_in_to(harbour: Harbour) -> None:
    with closing(open_place(harbour.address(harbour.known))) as register, register.read() as connection:
        said = "SELECT ssl, version FROM pg_stat_ssl WHERE pid = pg_backend_pid()"
        assert connection.exec_driver_sql(said).one() == (True, "TLSv1.3")


def test_a_wrong_password_is_asked_for_again_and_not_repeated(harbour: Harbour) -> None:
    with pytest.raises(PasswordWanted, match="check the login and the password") as wrong:
        open_place(replace(harbour.address(harbour.known), password=SECRET[:-1]))
    assert SECRET[:-1] not in str(wrong.value)
    with pytest.raises(PasswordWanted):
        open_place(replace(harbour.address(harbour.known), password=None))


def test_a_server_that_nobody_vouches_for_is_not(harbour: Harbour) -> None:
    with pytest.raises(Unavailable, match=r"knows nobody who vouches for the server.*sslrootcert"):
        open_place(harbour.address())
    with pytest.raises(Unavailable, match=r"names a file .* that is not there"):
        open_place(harbour.address("?sslrootcert=/nowhere/authority.crt"))


def test_a_server_of_another_name_is_not(harbour: Harbour) -> None:
    harbour.again(*encrypted(harbour.folder, "wrong"))
    with pytest.raises(Unavailable, match="proves to be another than the address says"):
        open_place(harbour.address(harbour.known))
    harbour.again(*encrypted(harbour.folder, "right"))


def test_a_server_without_encryption_is_not(harbour: Harbour) -> None:
    harbour.again("ssl=off")
    with pytest.raises(Unavailable, match="offers no encryption"):
        open_place(harbour.address(harbour.known))
    harbour.again(*encrypted(harbour.folder, "right"))


def test_a_server_that_takes_nobody_without_encryption_says_so(harbour: Harbour) -> None:
    with pytest.raises(Unavailable, match="takes nobody in without encryption"):
        open_place(harbour.address("?sslmode=disable"))


def test_a_password_typed_at_the_keyboard_is_nowhere_else(harbour: Harbour, tmp_path: Path) -> None:
    main, keyboard = pty.openpty()
    address = str(replace(harbour.address(harbour.known), password=None))
    command = [sys.executable, "-X", "dev", "-m", "register", "--db", address, "check"]
    at_home = {**os.environ, "HOME": str(tmp_path), "XDG_CONFIG_HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path)}
    with subprocess.Popen(
        command, stdin=keyboard, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=at_home, start_new_session=True
    ) as asked:
        assert asked.stderr is not None
        said = read_until(asked.stderr.fileno(), b": ")
        os.write(main, f"{SECRET}\n".encode())
        seen = Path(f"/proc/{asked.pid}/cmdline").read_bytes() + Path(f"/proc/{asked.pid}/environ").read_bytes()
        out, err = asked.communicate()
    os.close(main)
    os.close(keyboard)
    assert asked.returncode in {0, 1}
    assert b"Password of kim for own on localhost" in said
    kept = [path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()]
    kept.append((harbour.folder / "log").read_bytes())
    assert b"sites" in out.lower(), (out, err)
    assert not any(SECRET.encode() in each for each in (said, seen, out, err, *kept))


def read_until(source: int, end: bytes) -> bytes:
    """Return what is said up to some bytes."""
    said = b""
    while not said.endswith(end):
        said += os.read(source, 1) or pytest.fail(said.decode())
    return said
