#!/bin/sh
# Writes the CRC of a linked program into the place that src/board/image.c keeps for it: stamp.sh PROGRAM.elf
# The CRC is that of src/portable/crc.c over all that goes into flash, that place left out. Needs avr-binutils and awk.
set -eu
elf=$1
place=$(avr-nm "$elf" | awk '$3 == "stamp" { print $1 }')
offset=$(avr-objdump -h "$elf" | awk '$2 == ".text" { print $6 }')
test -n "$place" || { echo "$elf has no place for the stamp" >&2; exit 1; }
place=$((0x$place))
avr-objcopy -O binary -R .eeprom "$elf" "$elf.bin"
crc=$(od -An -v -tu1 "$elf.bin" | awk -v place="$place" '
    function xor(a, b,   bit, x) {
        x = 0
        for (bit = 1; a + b > 0; bit *= 2) {
            if (a % 2 != b % 2) x += bit
            a = int(a / 2); b = int(b / 2)
        }
        return x
    }
    BEGIN {
        for (x = 0; x < 256; x++) {
            y = xor(x, int(x / 16))
            step[x] = xor(xor((y * 4096) % 65536, (y * 32) % 65536), y)
        }
        for (a = 0; a < 256; a++) for (b = 0; b < 256; b++) both[a, b] = xor(a, b)
        crc = 65535
    }
    {
        for (i = 1; i <= NF; i++) {
            if (at != place && at != place + 1) {
                change = step[both[int(crc / 256), $i]]
                crc = both[crc % 256, int(change / 256)] * 256 + change % 256
            }
            at++
        }
    }
    END { print crc }')
printf "$(printf '\\%o\\%o' $((crc % 256)) $((crc / 256)))" |
    dd of="$elf" bs=1 seek=$((0x$offset + place)) conv=notrunc 2>/dev/null
rm "$elf.bin"
