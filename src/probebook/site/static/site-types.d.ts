// What a static page is told: questions with the tables that mark them, benches, words. Types only.

import type { View } from "../../workbook/static/form/model";
import type { BenchKey, BenchTable } from "../../workbook/static/table/table-types";

export interface Outcome {
  readonly standing: "right" | "partly right" | "slip" | "wrong" | "blank" | "unreadable";
  readonly marks: number;
  /** HTML of ours: said where there are other fields, where there are none, and where it is the first that is wanting. */
  readonly part: string;
  readonly alone: string;
  readonly first?: string;
  readonly critical?: boolean;
}

interface Base {
  readonly key: string;
  readonly label: string;
  readonly marks: number;
  /** Ids of the options in the order shown. */
  readonly ids: readonly string[];
  readonly blank: Outcome;
}

export interface ChoiceTable extends Base {
  readonly kind: "choice";
  readonly outcomes: readonly Outcome[];
}

export interface ChoicesTable extends Base {
  readonly kind: "choices";
  readonly right: Outcome;
  readonly wanted: readonly string[];
  /** By right ticks and wrong ones, such as "2 1"; the marks are worked out. */
  readonly counts: Readonly<Record<string, Outcome>>;
  /** Slips in the order in which they are looked for: a wrong tick, or the whole list of ticks. */
  readonly slips: readonly { readonly shows: string | readonly string[]; readonly outcome: Outcome }[];
}

export interface OrderTable extends Base {
  readonly kind: "order";
  readonly right: Outcome;
  readonly before: readonly (readonly [string, string])[];
  readonly implied: readonly (readonly [string, string])[];
  readonly slips: readonly { readonly later: string; readonly earlier: string; readonly outcome: Outcome }[];
  readonly early: Readonly<Record<string, Outcome>>;
}

/** Both ends null: an open circuit. */
export type Band = readonly [number | null, number | null];

export interface QuantityTable extends Base {
  readonly kind: "quantity";
  readonly band: Band;
  readonly right: Outcome;
  readonly slips: readonly { readonly band: Band; readonly outcome: Outcome }[];
  readonly wrong: Readonly<Record<"not-open" | "nothing-joins" | "check-figures", Outcome>>;
  readonly unread: Readonly<Record<string, Outcome>>;
  readonly reads: Reads;
}

export interface Reads {
  readonly unit: string;
  readonly prefix: string;
  readonly prefixes: boolean;
  /** Spelling → power of ten, factor, offset; or the words for a unit of something else. */
  readonly units: Readonly<Record<string, readonly [number, number, number] | readonly [string]>>;
  readonly degrees: Readonly<Record<string, string>>;
  readonly open: boolean;
  readonly opens: readonly string[];
  readonly beyond: number;
  readonly least: number | null;
}

export type FieldTable = ChoiceTable | ChoicesTable | OrderTable | QuantityTable;

export interface QuestionTable {
  readonly id: string;
  readonly view: View;
  readonly marks: number;
  readonly score: { readonly open: string; readonly scored: string };
  readonly fields: readonly FieldTable[];
  readonly right: readonly string[];
  readonly hints: readonly string[];
  readonly working: string;
}

export interface MarkingWords {
  readonly verdicts: Readonly<
    Record<string, { readonly sign: string; readonly tone: string; readonly word: string; readonly part: string }>
  >;
  readonly next: Readonly<Record<"mend" | "again" | "again-or-read" | "go-on", string>>;
  readonly notes: Readonly<Record<"same-answer" | "from-saved", string>>;
  readonly critical: string;
  readonly decimal: string;
}

export interface BenchPage {
  readonly view: unknown;
  readonly table: BenchTable;
  readonly key: BenchKey;
  readonly words: Readonly<
    Record<"go-on" | "nothing-done" | "right" | "wrong" | "unproved" | "left-on" | "parts" | "not-weighed", string>
  > & {
    readonly ended: string;
    /** What a slip that ends the job means, by the slip. */
    readonly advice: Readonly<Record<string, string>>;
  };
}

export interface PageTold {
  /** Name of the page, under which answers are kept, and of the build they belong to. */
  readonly name: string;
  readonly build: string;
  readonly questions: readonly QuestionTable[];
  readonly bench?: BenchPage;
  readonly marking?: MarkingWords;
  readonly words: Readonly<Record<"kept" | "not-kept" | "forgotten", string>>;
}

/** What one question holds, kept on the device. */
export interface Kept {
  readonly answer: readonly unknown[];
  readonly acts: readonly string[];
  readonly checked: readonly unknown[] | null;
  readonly attempts: number;
  readonly scored: { readonly marks: number; readonly right: boolean } | null;
  readonly hints: number;
}

export interface Marked {
  readonly standing: string;
  readonly marks: number;
  readonly critical: boolean;
  readonly message: string;
  readonly parts: readonly { readonly label: string; readonly standing: string; readonly message: string }[];
}
