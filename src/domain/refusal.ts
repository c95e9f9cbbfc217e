// A refusal: the program understood what was asked and says no, with a code and the facts. It becomes words here and
// nowhere else; pages, the API and the command line print the same sentence. A bug is a plain Error instead.

export type RefusalFacts = Readonly<Record<string, string | number | readonly string[]>>;

export interface RefusalWords {
  /** What is wrong, one sentence. */
  wrong: string;
  /** What it would take. */
  todo: string;
}

type Say = (facts: RefusalFacts) => RefusalWords;
const list = (value: RefusalFacts[string] | undefined): string =>
  Array.isArray(value) ? value.join(', ') : String(value ?? '');

const WORDS = {
  'in-use': (f) => ({
    wrong: `${f.what} ${f.code} is still used by ${list(f.by)}.`,
    todo: 'Change or delete those first, or keep this one.',
  }),
  'in-ledger': (f) => ({
    wrong: `Roll ${f.code} has a history in the ledger of stock, so it is never deleted.`,
    todo: 'If it is gone, change its length to 0: then it is used up.',
  }),
  'not-found': (f) => ({
    wrong: `There is no ${f.what} ${f.code}.`,
    todo: 'Go back to the list; it may have been deleted or renamed.',
  }),
  'nothing-to-plan': (f) => ({
    wrong: `There is no open order ${list(f.scope) ? `among ${list(f.scope)}` : 'to plan'}.`,
    todo: 'Choose products with open orders, or enter or import the orders first.',
  }),
  'plan-queue-full': (f) => ({
    wrong: `${f.waiting} plans are waiting already, and no more can wait.`,
    todo: 'Wait until some are done, or cancel those that nobody needs.',
  }),
  'planner-busy': (f) => ({
    wrong: `The planner is busy; ${f.waiting} questions wait already.`,
    todo: 'Ask again when the plans that are being made are done.',
  }),
  'plan-has-ended': (f) => ({
    wrong: `Plan ${f.id} has ended already (${f.status}); there is nothing to cancel or to finish.`,
    todo: 'Open the plan to see how it ended.',
  }),
  'plan-waits': (f) => ({
    wrong: `Plan ${f.id} waits for its turn, so there is no plan yet to finish with.`,
    todo: 'Wait until it is being worked on, or cancel it.',
  }),
  'plan-not-finished': (f) => ({
    wrong: `Plan ${f.id} is not finished (${f.status}), so there is no plan to show yet.`,
    todo: 'Open its page to see how far it is.',
  }),
  'no-such-alternative': (f) => ({
    wrong: `Plan ${f.id} has no other plan number "${f.asked}" on its curve.`,
    todo:
      f.many === 0
        ? 'It stands alone: nothing with fewer set-ups or less film was found.'
        : `Choose one of its ${f.many} others on its page.`,
  }),
  'alternative-breaks-limit': (f) => ({
    wrong: `This plan breaks a limit of its problem and was not taken: ${list(f.faults)}.`,
    todo: `Run plan ${f.id} again; it may have been made by an older version of the program.`,
  }),
  'roll-reserved': (f) => ({
    wrong: `Roll ${f.roll} is at the machine already: ${f.by} released it for plan ${f.plan} (release ${f.release}).`,
    todo: `Withdraw what is not yet cut of release ${f.release}, or plan without this roll.`,
  }),
  'release-breaks-limit': (f) => ({
    wrong: `Plan ${f.id} breaks a limit of its problem and was not released: ${list(f.faults)}.`,
    todo: 'Plan again; it may have been made by an older version of the program.',
  }),
  'run-not-released': (f) => ({
    wrong: `Run ${f.run} is not part of release ${f.release}, so nothing can be recorded for it.`,
    todo: 'Release it from the page of its plan first.',
  }),
  'run-withdrawn': (f) => ({
    wrong: `Run ${f.run} of release ${f.release} was withdrawn; nothing can be recorded for it.`,
    todo: 'Stop the machine and ask the planner; a run that shall be cut is released again.',
  }),
  'run-done': (f) => ({
    wrong: `Run ${f.run} of release ${f.release} is done: ${f.cut} of ${f.planned} sets are cut and it is closed.`,
    todo: 'If a set was recorded by mistake, undo it; if more shall be cut, plan and release that.',
  }),
  'run-begun': (f) => ({
    wrong: `Run ${list(f.runs)} of release ${f.release} is begun or done, so it cannot be withdrawn.`,
    todo: 'Close a begun run at its record page: the sets not cut go back to planning.',
  }),
  'nothing-to-withdraw': (f) => ({
    wrong: `No run of release ${f.release} is waiting, so there is nothing to withdraw.`,
    todo: 'Close a begun run at its record page.',
  }),
  'roll-not-of-run': (f) => ({
    wrong: `Roll ${f.roll} is not part of run ${f.run}; the run is cut from ${list(f.rolls)}.`,
    todo: 'Check the label of the roll on the machine. To cut another roll, plan again around what is done.',
  }),
  'roll-elsewhere': (f) => ({
    wrong: `Roll ${f.roll} is not at ${f.slitter}: it is released for ${f.other} (release ${f.release}).`,
    todo: 'Check the label of the roll on the machine, and record it at its own machine.',
  }),
  'roll-off-machine': (f) => ({
    wrong: `Roll ${f.roll} is no longer at the machine: its end was recorded, or it was withdrawn.`,
    todo: 'If its end was recorded by mistake, undo that.',
  }),
  'roll-not-usable': (f) => ({
    wrong: `Roll ${f.roll} ${f.why} and may not be run.`,
    todo: 'Stop, set the roll aside and have it decided on: released with a reason, or replaced.',
  }),
  'roll-too-short': (f) => ({
    wrong: `Roll ${f.roll} holds ${f.holdsM} m; these sets with their losses take ${f.takesM} m.`,
    todo: 'Check the number of sets and the roll. If the roll really held more, correct its length on its page first.',
  }),
  'nothing-to-undo': (f) => ({
    wrong: `Nothing recorded of roll ${f.roll} is left to undo.`,
    todo: 'Open the roll to see what happened to it.',
  }),
  'made-rolls-changed': (f) => ({
    wrong: `${list(f.rolls)} ${f.many === 1 ? 'has' : 'have'} changed since: corrected, held, packed or dispatched.`,
    todo: 'Correct or scrap the single finished rolls instead.',
  }),
  'roll-not-finished': (f) => ({
    wrong: `Roll ${f.roll} is ${f.what}, so it cannot be corrected as a finished roll.`,
    todo: 'Only finished rolls that are in the house can be corrected or scrapped.',
  }),
  'roll-not-received': (f) => ({
    wrong: `Roll ${f.roll} did not come in by a goods receipt, so there is nothing of one to correct.`,
    todo: 'Change it on its page, or correct the record that made it.',
  }),
  'used-since': (f) => ({
    wrong: `${list(f.rolls)} ${f.many === 1 ? 'has' : 'have'} been used or counted since, so the record stays as it is.`,
    todo: 'Take back what was recorded after it first, the latest first; or count what is there now.',
  }),
  'coating-undone': (f) => ({
    wrong: `Coating record ${f.coating} is taken back already.`,
    todo: 'Open it to see by whom and why.',
  }),
  'not-to-be-decided': (f) => ({
    wrong: `Roll ${f.roll} cannot be decided on so (${f.decision}): ${f.why}.`,
    todo: 'Open the roll to see how it stands now; somebody may have decided meanwhile. Past its use-by day it takes a concession.',
  }),
  'cannot-be-planned': (f) => ({
    wrong: `What is stored about ${f.product} cannot be planned: ${list(f.faults)}.`,
    todo: 'Correct those orders, rolls or offers first; then ask again.',
  }),
  'no-longer-so': (f) => ({
    wrong: `Nothing was promised: the answer was computed on state ${f.was}, and the stock or the orders of ${f.product} have changed since.`,
    todo: 'Ask again: the page shows what can be promised now.',
  }),
  'nothing-to-promise': (f) => ({
    wrong: `Nothing was promised: the answer to "${f.question}" is no yes.`,
    todo: 'Ask for what can be made, or for another day.',
  }),
  'quote-has-ended': (f) => ({
    wrong: `Quote ${f.code} is not held any more: it ${f.how}.`,
    todo: 'What it held is free again. Ask anew and promise what can be made now.',
  }),
  'nothing-to-pack': (f) => ({
    wrong: `No roll is chosen to be packed for order ${f.order}.`,
    todo: 'Tick the rolls that go into the package.',
  }),
  'purchase-order-step': (f) => ({
    wrong:
      f.step === 'cancel' && f.received
        ? `Film of purchase order ${f.order} was received already, so it cannot be cancelled.`
        : `Purchase order ${f.order} is ${f.status}, so the step "${f.step}" cannot be taken.`,
    todo:
      f.step === 'cancel' && f.received
        ? 'Close it: nothing more is then expected.'
        : 'Look at the order again; somebody may have changed it.',
  }),
  'package-closed': (f) => ({
    wrong: `Package ${f.package} is ${f.status} already; nothing can be put in or taken out.`,
    todo:
      f.status === 'dispatched' ? 'What comes back is entered as a return.' : 'Pack into another package.',
  }),
  'package-empty': (f) => ({
    wrong: `There is nothing in package ${f.package} to be sent.`,
    todo: 'Put rolls into it first, or undo it.',
  }),
  'package-of-other': (f) => ({
    wrong: `Package ${f.package} is for ${f.customer}, order ${f.order} is not.`,
    todo: 'Begin a new package, or choose one of the same customer.',
  }),
  'roll-packed': (f) => ({
    wrong: `Roll ${f.roll} is in package ${f.package} already: ${f.by} packed it.`,
    todo: 'Choose other rolls, or take it out of that package first.',
  }),
  'roll-not-in-package': (f) => ({
    wrong: `Roll ${f.roll} is not in package ${f.package}.`,
    todo: 'Open the package to see what is in it now.',
  }),
  'roll-not-to-pack': (f) => ({
    wrong: `Roll ${f.roll} may not be sent for order ${f.order}: ${f.why}.`,
    todo: 'Set it aside and choose another; nothing was packed or sent.',
  }),
  'too-many-packed': (f) => ({
    wrong: `Order ${f.order} takes at most ${f.most} rolls; ${f.gone} are sent or packed, so ${f.room} more may be packed, not ${f.more}.`,
    todo: 'Take fewer rolls. If the customer agrees to more, change the over-run of the order first.',
  }),
  'not-dispatched': (f) => ({
    wrong: `Roll ${f.roll} is ${f.status}, so it cannot come back.`,
    todo: 'Only a roll that was dispatched can be returned. Check its number.',
  }),
  'no-slitter': (f) => ({
    wrong: `There is no slitter for ${list(f.products)}.`,
    todo: 'Enter or import the slitters with their limits first.',
  }),
  'bad-setting': (f) => ({
    wrong: `${f.name} is "${f.value}", which is ${f.problem}.`,
    todo: `Set it to ${f.right}, or leave it out.`,
  }),
  'data-folder-in-use': (f) => ({
    wrong: `The data folder ${f.folder} is in use by another running Lanewright.`,
    todo: 'Stop that one first, or give this one its own folder with LANEWRIGHT_DATA.',
  }),
  'data-folder-closed': (f) => ({
    wrong: `The database account "${f.account}" cannot enter the data folder ${f.folder}, because ${f.closed} is closed to it.`,
    todo: `Set LANEWRIGHT_DATA to a folder outside closed homes, such as ${f.instead}, or start as an ordinary user.`,
  }),
  'data-folder-unusable': (f) => ({
    wrong: `The data folder ${f.folder} cannot be used: ${f.problem}.`,
    todo: 'Set LANEWRIGHT_DATA to a folder that this user may write, on a disk with room.',
  }),
  'no-embedded-database': (f) => ({
    wrong: `The embedded database cannot run here: ${f.problem}.`,
    todo: 'Set DATABASE_URL to a PostgreSQL server, such as postgres://user@host:5432/name.',
  }),
  'database-unreachable': (f) => ({
    wrong: `The database at ${f.where} does not answer: ${f.problem}.`,
    todo: 'Check that it runs and that DATABASE_URL names its host, port, user and database.',
  }),
  'no-database-yet': (f) => ({
    wrong: `There is no database in ${f.folder} yet.`,
    todo: 'Start Lanewright once, or name the folder with LANEWRIGHT_DATA, or a server with DATABASE_URL.',
  }),
  'database-not-current': () => ({
    wrong: 'The database is not in the form that this version of Lanewright works with.',
    todo: 'Start this version once, which brings it up to date; or use the version that the database belongs to.',
  }),
  'port-in-use': (f) => ({
    wrong: `Port ${f.port} of this machine is already taken.`,
    todo: 'Stop what uses it, or set PORT to another number.',
  }),
  'unreadable-file': (f) => ({ wrong: `${f.problem}.`, todo: `${f.right}.` }),
} satisfies Record<string, Say>;

export type RefusalCode = keyof typeof WORDS;

export class Refusal extends Error {
  readonly code: RefusalCode;
  readonly facts: RefusalFacts;
  constructor(code: RefusalCode, facts: RefusalFacts) {
    const words = (WORDS[code] as Say)(facts);
    super(`${words.wrong} ${words.todo}`);
    this.name = 'Refusal';
    this.code = code;
    this.facts = facts;
  }
}

/** The refusal in words: what is wrong and what it would take. */
export function refusalWords(refusal: Refusal): RefusalWords {
  return (WORDS[refusal.code] as Say)(refusal.facts);
}
