"""MODBUS RTU units for tests, made of pymodbus (BSD, package python3-pymodbus).

usage: peer TTY UNIT...; says "ready" when it serves. The floats are put in order
by the library, not by us. Every unit has the same registers, but holding
register 8 of unit N holds -1233-N.
"""

import asyncio
import sys

from pymodbus.constants import Endian
from pymodbus.datastore import ModbusSequentialDataBlock, ModbusServerContext, ModbusSlaveContext
from pymodbus.payload import BinaryPayloadBuilder
from pymodbus.server.async_io import ModbusSerialServer
from pymodbus.transaction import ModbusRtuFramer


def registers(*values):
    words = []
    for kind, byteorder, wordorder, value in values:
        b = BinaryPayloadBuilder(byteorder=byteorder, wordorder=wordorder)
        getattr(b, "add_" + kind)(value)
        words += b.to_registers()
    return words


def float32(byteorder, wordorder, value):
    # to_registers always packs registers high byte first: a swapped pair of bytes is put in by hand.
    words = registers(("32bit_float", Endian.Big, wordorder, value))
    if byteorder == Endian.Little:
        words = [(w & 0xFF) << 8 | w >> 8 for w in words]
    return words


def unit(number):
    big, little = Endian.Big, Endian.Little
    holding = (
        float32(big, big, 10.123456)
        + float32(big, little, 10.123456)
        + float32(little, big, 10.123456)
        + float32(little, little, 10.123456)
        + registers(
            ("16bit_int", big, big, -1233 - number),
            ("16bit_uint", big, big, 54321),
            ("32bit_int", big, big, -123456),
            ("32bit_uint", big, big, 3000000000),
        )
        + [0] * 18
    )
    inputs = registers(("16bit_int", big, big, 215)) + float32(big, little, 1013.25) + [0] * 5
    return ModbusSlaveContext(
        hr=ModbusSequentialDataBlock(0, holding), ir=ModbusSequentialDataBlock(0, inputs), zero_mode=True
    )


async def main():
    units = {int(n): unit(int(n)) for n in sys.argv[2:]}
    server = ModbusSerialServer(
        ModbusServerContext(slaves=units, single=False),
        framer=ModbusRtuFramer,
        port=sys.argv[1],
        baudrate=9600,
        ignore_missing_slaves=True,
    )
    await server.start()
    print("ready", flush=True)
    await server.serve_forever()


asyncio.run(main())
