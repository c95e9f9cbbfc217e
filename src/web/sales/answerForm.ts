// Reads a customer's question from the address: one line of text, or the fields. Both ways end in the same fields and obey
// the same rules; what is wrong comes back by field, with what would be right.
import { DAY_RIGHT, readDay } from '../../domain/dayText.ts';
import { parseField } from '../../domain/fieldText.ts';
import { type Question, questionLine, toleranceText } from '../../domain/question.ts';
import { LINE_RIGHT, type QuestionField, readQuestionLine } from '../../domain/questionText.ts';
import { type Fault, fieldHead, fieldOf } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { readTolerance } from '../../domain/toleranceText.ts';
import { type IsoDate, umToMm } from '../../domain/units.ts';

export const QUESTION_FIELDS = ['product', 'width', 'length', 'rolls', 'date', 'tolerance'] as const;
export type TypedQuestion = Record<QuestionField | 'line', string>;

/** Fields of an order line that give the rules of a size. */
const SIZES = { width: 'widthUm', length: 'lengthMm', rolls: 'rolls' } as const;

export interface ReadQuestion {
  typed: TypedQuestion;
  /** undefined when something is wrong, or when only a product (or nothing) is asked for. */
  question: Question | undefined;
  faults: Fault[];
}

export function readQuestion(
  query: Record<string, unknown>,
  products: readonly string[],
  today: IsoDate,
): ReadQuestion {
  const names = [...QUESTION_FIELDS, 'line'] as const;
  const typed = Object.fromEntries(
    names.map((name) => [name, String(query[name] ?? '').trim()]),
  ) as TypedQuestion;
  const faults: Fault[] = Object.keys(query)
    .filter((name) => !(names as readonly string[]).includes(name))
    .map((name) => ({
      field: name,
      value: '',
      wrong: `there is no "${name}" to ask for`,
      right: names.join(', '),
    }));
  const fromLine = typed.line !== '';
  if (fromLine) {
    const reading = readQuestionLine(typed.line, products, today);
    for (const name of QUESTION_FIELDS) typed[name] = reading.given[name] ?? '';
    faults.push(...reading.faults);
  }
  const asked = fromLine || QUESTION_FIELDS.some((name) => name !== 'product' && typed[name] !== '');
  const product = products.find((code) => code.toLowerCase() === typed.product.toLowerCase());
  if (typed.product !== '' && !product) faults.push(unknownProduct(typed.product, products));
  else typed.product = product ?? '';
  if (!asked || faults.length > 0) return { typed, question: undefined, faults };
  const read = readFields(typed, today);
  const lineFaults = fromLine ? read.faults.map((fault) => inLine(fault)) : read.faults;
  const question = lineFaults.length === 0 ? read.question : undefined;
  if (question) Object.assign(typed, typedOf(question));
  return { typed, question, faults: lineFaults };
}

/** The texts of the fields, and the line, that ask this question. */
export const typedOf = (q: Question): TypedQuestion => ({
  product: q.product,
  width: String(umToMm(q.widthUm)),
  length: String(q.lengthMm / 1000),
  rolls: String(q.rolls),
  date: q.dueOn ?? '',
  tolerance: toleranceText(q),
  line: questionLine(q),
});

/** The address of a question. */
export function questionHref(q: Question): string {
  const { line, ...fields } = typedOf(q);
  const given = Object.entries(fields).filter(([, text]) => text !== '');
  return `/answer?${new URLSearchParams(Object.fromEntries(given))}`;
}

function readFields(typed: TypedQuestion, today: IsoDate): { question: Question; faults: Fault[] } {
  const faults: Fault[] = [];
  const values: Record<string, unknown> = { product: typed.product };
  if (typed.product === '')
    faults.push({
      field: 'product',
      value: '',
      wrong: 'Product is missing',
      right: 'the code of a coated product',
    });
  for (const [name, column] of Object.entries(SIZES)) {
    const field = { ...fieldOf(RESOURCES.orders, column), required: true };
    const reading = parseField(field, typed[name as QuestionField], { decimal: 'auto' });
    if (reading.ok) values[column] = reading.value;
    else faults.push({ ...reading.fault, field: name });
  }
  if (typed.date !== '') {
    const day = readDay(typed.date, today);
    if (!day.ok) faults.push({ field: 'date', value: typed.date, wrong: day.wrong, right: day.right });
    else if (day.day < today)
      faults.push({
        field: 'date',
        value: typed.date,
        wrong: `${day.day} is past`,
        right: `${today} or later, ${DAY_RIGHT}`,
      });
    else values.dueOn = day.day;
  }
  const tolerance = readTolerance(typed.tolerance);
  if (tolerance.ok) Object.assign(values, { overPct: tolerance.overPct, underPct: tolerance.underPct });
  else faults.push({ ...tolerance, field: 'tolerance', value: typed.tolerance });
  return { question: { dueOn: undefined, ...values } as unknown as Question, faults };
}

/** A fault of a line says in the line's words what is missing. */
const inLine = (fault: Fault): Fault =>
  / is missing$/.test(fault.wrong) ? { ...fault, right: `a line such as ${LINE_RIGHT}` } : fault;

const unknownProduct = (value: string, products: readonly string[]): Fault => ({
  field: 'product',
  value,
  wrong: `there is no product "${value}"`,
  right: products.length > 0 ? `one of: ${products.join(', ')}` : 'a product that is entered first',
});

/** Labels of the fields, with their units. */
export const fieldLabel = (name: QuestionField): string =>
  name === 'product'
    ? 'Product'
    : name === 'date'
      ? 'By (day)'
      : name === 'tolerance'
        ? 'Tolerance'
        : fieldHead(fieldOf(RESOURCES.orders, SIZES[name]));
