/* A MODBUS RTU unit for tests, made of libmodbus (LGPL, package libmodbus-dev).
   usage: peer TTY UNIT; says "ready" when it serves. The library's own setters of
   floats put them on the line in other orders than they are named for, in other
   ways in each version (stephane/libmodbus issues 611, 665, 757), so that the bytes
   are put in order here; the pymodbus peer checks the orders by its own means. */
#include <errno.h>
#include <modbus/modbus.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* put sets two registers to a float: which half is first, and whether its bytes are swapped. */
static void put(uint16_t *r, float value, int high_first, int swapped)
{
	uint32_t bits;
	memcpy(&bits, &value, sizeof bits);
	for (int i = 0; i < 2; i++) {
		uint16_t half = (uint16_t)(i == !high_first ? bits >> 16 : bits);
		r[i] = swapped ? (uint16_t)(half << 8 | half >> 8) : half;
	}
}

int main(int argc, char **argv)
{
	if (argc != 3)
		return 2;
	modbus_t *line = modbus_new_rtu(argv[1], 9600, 'N', 8, 1);
	modbus_mapping_t *map = modbus_mapping_new(0, 0, 32, 8);
	if (line == NULL || map == NULL || modbus_set_slave(line, atoi(argv[2])) || modbus_connect(line)) {
		fprintf(stderr, "peer: %s\n", modbus_strerror(errno));
		return 1;
	}
	uint16_t *h = map->tab_registers;
	put(h + 0, 10.123456f, 1, 0);
	put(h + 2, 10.123456f, 0, 0);
	put(h + 4, 10.123456f, 1, 1);
	put(h + 6, 10.123456f, 0, 1);
	h[8] = (uint16_t)-1234;
	h[9] = 54321;
	h[10] = (uint16_t)((uint32_t)-123456 >> 16);
	h[11] = (uint16_t)((uint32_t)-123456 & 0xffff);
	h[12] = (uint16_t)(3000000000u >> 16);
	h[13] = (uint16_t)(3000000000u & 0xffff);
	map->tab_input_registers[0] = 215;
	put(map->tab_input_registers + 1, 1013.25f, 0, 0);
	puts("ready");
	fflush(stdout);
	for (;;) {
		uint8_t query[MODBUS_RTU_MAX_ADU_LENGTH];
		int n = modbus_receive(line, query);
		if (n > 0)
			modbus_reply(line, query, n, map);
		else if (n < 0 && (errno == EBADF || errno == EIO || errno == ECONNRESET))
			return 0; /* the line is gone; a frame that comes in pieces is no reason to leave */
	}
}
