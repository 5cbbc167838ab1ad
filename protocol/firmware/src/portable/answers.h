/* The last four requests that were carried out or refused, SPEC.md section 5: a repetition gets the same answer and
 * is not carried out again. Number and CRC tell a request; of the answer the reason is enough. */
#ifndef TAREWELL_ANSWERS_H
#define TAREWELL_ANSWERS_H

#include <stdbool.h>
#include <stdint.h>

#include "wire.h"

#define TW_ANSWERS_KEPT 4U

struct tw_answer {
    uint16_t crc;
    uint8_t seq;
    uint8_t reason; /* enum tw_reason */
};

struct tw_answers {
    struct tw_answer kept[TW_ANSWERS_KEPT];
    uint8_t count;
    uint8_t next; /* place of the next one: the oldest, once all are taken */
};

void tw_answers_forget(struct tw_answers *answers);
void tw_answers_keep(struct tw_answers *answers, uint8_t seq, uint16_t crc, enum tw_reason reason);
bool tw_answers_find(const struct tw_answers *answers, uint8_t seq, uint16_t crc, enum tw_reason *reason);

#endif
