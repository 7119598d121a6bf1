"""The answer: facts as sentences, answers from the record, phrases, and what must not go out."""
