#include "answers.h"

void tw_answers_forget(struct tw_answers *answers)
{
    answers->count = 0;
    answers->next = 0;
}

void tw_answers_keep(struct tw_answers *answers, uint8_t seq, uint16_t crc, enum tw_reason reason)
{
    answers->kept[answers->next] = (struct tw_answer){crc, seq, (uint8_t)reason};
    answers->next = (uint8_t)((answers->next + 1U) % TW_ANSWERS_KEPT);
    if (answers->count < TW_ANSWERS_KEPT) {
        answers->count++;
    }
}

bool tw_answers_find(const struct tw_answers *answers, uint8_t seq, uint16_t crc, enum tw_reason *reason)
{
    for (uint8_t i = 0; i < answers->count; i++) {
        if (answers->kept[i].seq == seq && answers->kept[i].crc == crc) {
            *reason = (enum tw_reason)answers->kept[i].reason;
            return true;
        }
    }
    return false;
}
