"""Reads what the tests need of a field file: arrays of an XML .vtu with raw appended data in blocks compressed by zlib
(VTK's file formats)."""
import array
import re
import struct
import zlib

CODES = {"Float32": "f", "Float64": "d", "Int32": "i", "Int64": "q", "UInt8": "B"}


def read_arrays(path, names):
    """{name: flat list} of the data arrays named."""
    with open(path, "rb") as file:
        text = file.read()
    if not all(words in text for words in (b'header_type="UInt32"', b'encoding="raw"', b"vtkZLibDataCompressor")):
        raise ValueError(f"{path} is not raw, compressed data")
    start = text.index(b"_", text.index(b"<AppendedData")) + 1
    arrays = {}
    for tag in re.findall(rb"<DataArray [^>]*>", text[:start]):
        attributes = dict(re.findall(r'(\w+)="([^"]*)"', tag.decode()))
        if attributes.get("Name") in names:
            arrays[attributes["Name"]] = _decode(text, start + int(attributes["offset"]), CODES[attributes["type"]])
    return arrays


def _decode(text, at, code):
    """Header: number of blocks, size of a block, of the last one, then the compressed size of each."""
    count = struct.unpack_from("<I", text, at)[0]
    lengths = struct.unpack_from(f"<{count}I", text, at + 12)
    values, begin = array.array(code), at + 12 + 4 * count
    for length in lengths:
        values.frombytes(zlib.decompress(text[begin:begin + length]))
        begin += length
    return list(values)
