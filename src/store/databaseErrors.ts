// PostgreSQL's error codes that are answers rather than bugs.
// Source: PostgreSQL documentation, appendix A, "PostgreSQL Error Codes".

const FOREIGN_KEY_VIOLATION = '23503';
const RESTRICT_VIOLATION = '23001';
const UNIQUE_VIOLATION = '23505';

const codeOf = (error: unknown): unknown => (error as { code?: unknown } | null)?.code;

/** Another row refers to this one, or this one refers to a row that is not there. */
export const breaksReference = (error: unknown): boolean =>
  codeOf(error) === FOREIGN_KEY_VIOLATION || codeOf(error) === RESTRICT_VIOLATION;

/** The code is taken. */
export const isTaken = (error: unknown): boolean => codeOf(error) === UNIQUE_VIOLATION;

/** The table that refers to the row, when the error names it. */
export const referringTable = (error: unknown): string =>
  String((error as { table?: unknown }).table ?? 'other rows');
