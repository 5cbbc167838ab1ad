/* One request of the host: refused or carried out, and answered. */
#ifndef TAREWELL_SERVE_H
#define TAREWELL_SERVE_H

#include "board.h"
#include "line.h"
#include "request.h"

/* Writes the answer to the intact frame `body`, whose CRC is `crc`. False when it was no request. */
bool tw_serve(struct tw_board *board, const char *body, uint16_t crc, uint32_t now_ms, struct tw_line *answer);

#endif
