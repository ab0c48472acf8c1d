"""The hospital's recovery key: what lets the base open the store of a phone that nobody can unlock.

A phone wraps its data key to the public part (RSA-OAEP with SHA-256, RFC 8017, 7.1). The private
part is made once, and lies offline.
"""

import os
from pathlib import Path
from typing import NamedTuple

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import padding, rsa
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
    load_pem_private_key,
    load_pem_public_key,
)

from webapp.records.errors import BadRecord
from webapp.records.signing import key_id

_BITS = 3072
_BOX_DOMAIN = b"lampside-box/1\n"
_PADDING = padding.OAEP(
    mgf=padding.MGF1(algorithm=hashes.SHA256()),
    algorithm=hashes.SHA256(),
    label=b"lampside-data-key/1",
)


class RecoveryKey(NamedTuple):
    """The private part, for the moment in which it is needed."""

    private_key: rsa.RSAPrivateKey

    @classmethod
    def load(cls, path: Path) -> "RecoveryKey":
        """Return the key in a PEM file.

        Raises:
            BadRecord: the file is missing or holds no RSA private key.
        """
        try:
            key = load_pem_private_key(path.read_bytes(), password=None)
        except (OSError, ValueError, TypeError) as error:
            raise BadRecord("recovery_key", f"{path} does not hold a recovery key.") from error
        if not isinstance(key, rsa.RSAPrivateKey):
            raise BadRecord("recovery_key", f"{path} does not hold a recovery key.")
        return cls(key)

    @property
    def name(self) -> str:
        """The SHA-256 of the public part (SPKI DER), hexadecimal, as phones name it."""
        return key_id(_spki_of(self.private_key.public_key()))

    def data_key(self, wrapped: bytes) -> bytes:
        """Return the 32 bytes of a phone's data key.

        Raises:
            BadRecord: they were wrapped to another key, or changed.
        """
        try:
            data_key = self.private_key.decrypt(wrapped, _PADDING)
        except ValueError as error:
            raise BadRecord("data_key", "This recovery key does not open the file.") from error
        if len(data_key) != 32:
            raise BadRecord("data_key", "The file does not hold a data key.")
        return data_key


def open_box(data_key: bytes, place: str, iv: bytes, sealed: bytes) -> bytes:
    """Return what a phone sealed at a place of its store (AES-256-GCM, twin of box.js).

    Raises:
        BadRecord: it was changed, moved, or sealed by another phone.
    """
    try:
        return AESGCM(data_key).decrypt(iv, sealed, _BOX_DOMAIN + place.encode())
    except (InvalidTag, ValueError) as error:
        raise BadRecord("box", f"What stands at {place} was changed and does not open.") from error


def make(private_path: Path, public_path: Path) -> str:
    """Make a key pair, one file each; return the public key's name.

    Raises:
        FileExistsError: one of the files is there already; nothing was changed.
    """
    if public_path.exists():
        raise FileExistsError(f"{public_path} is there already.")
    key = rsa.generate_private_key(public_exponent=65537, key_size=_BITS)
    pem = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    _write_new(private_path, pem)
    public = key.public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo)
    _write_new(public_path, public)
    return RecoveryKey(key).name


def public_spki(path: Path) -> bytes | None:
    """Return the public part in SPKI DER, or None where there is none."""
    if not path.exists():
        return None
    key = load_pem_public_key(path.read_bytes())
    if not isinstance(key, rsa.RSAPublicKey):
        raise BadRecord("recovery_key", f"{path} does not hold an RSA public key.")
    return _spki_of(key)


def _spki_of(key: rsa.RSAPublicKey) -> bytes:
    return key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)


def _write_new(path: Path, content: bytes) -> None:
    """Write a file that was not there, for its owner alone."""
    with open(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
