// What page and kernel share of a question, and what a component asks of its host. Types only.

/** The model as every host gives it: a notebook, a page of our own, a static page. */
export interface Model<Traits> {
  get<Name extends keyof Traits & string>(name: Name): Traits[Name];
  set<Name extends keyof Traits & string>(name: Name, value: Traits[Name]): void;
  save_changes(): void;
  send(content: Press): void;
  on(event: string, slot: () => void): void;
  off(event: string, slot: () => void): void;
}

/** What is sent when something is pressed. */
export interface Press {
  readonly press: string;
  readonly answer?: Answer;
  readonly like?: number;
  readonly act?: string;
  readonly faults?: readonly number[];
}

/** One item a field: typed text, the number of an option or null, numbers of options. */
export type Given = string | number | null | readonly number[];
export type Answer = readonly Given[];

export interface QuestionTraits {
  view: View;
  answer: Answer;
  state: State;
  verdict: Verdict | Record<string, never>;
}

export interface View {
  readonly language: string;
  readonly title: string;
  readonly fields: readonly FieldView[];
  readonly words: Words;
}

export interface FieldView {
  readonly kind: "quantity" | "choice" | "choices" | "order";
  readonly label: string;
  readonly marks?: string;
  readonly hint?: string;
  readonly unit?: string;
  readonly longest?: number;
  readonly options?: readonly string[];
  /** Of steps to order: for each, what its two buttons do. */
  readonly moves?: readonly (readonly [string, string])[];
  /** Of steps to order: for each place, what is said when a step comes there. */
  readonly places?: readonly string[];
}

export type Words = Readonly<
  Record<
    | "check"
    | "check-hint"
    | "show-working"
    | "hide-working"
    | "hint"
    | "up"
    | "down"
    | "earlier"
    | "marking"
    | "silent"
    | "gone"
    | "restarted",
    string
  >
>;

export interface State {
  readonly checks: number;
  readonly checked: Answer | null;
  readonly changed: boolean;
  readonly score: string;
  readonly working: string;
  readonly open: boolean;
  /** The hints that were read, as HTML of ours, and whether there is another; a paper has none. */
  readonly hints?: readonly string[];
  readonly more?: boolean;
}

export type Tone = "right" | "partly" | "slip" | "wrong" | "critical" | "open";

export interface Part {
  readonly label: string;
  readonly sign: string;
  readonly tone: Tone;
  readonly word: string;
  readonly message: string;
}

export interface Verdict {
  readonly tone: Tone;
  readonly sign: string;
  readonly word: string;
  readonly message: string;
  readonly parts: readonly Part[];
  readonly next: string;
  readonly note: string;
}

/** A field in the page. */
export interface FieldNode {
  readonly node: HTMLElement;
  get(): Given;
  set(given: Given): void;
}

/** What page and kernel share of fresh practice. */
export interface PracticeTraits {
  view: {
    readonly language: string;
    readonly words: Readonly<Record<"another-like" | "make-one" | "make-one-hint" | "suits" | "suits-hint", string>>;
    /** The questions of the workbook, another like which can be made. */
    readonly options: readonly string[];
  };
  state: {
    readonly busy: boolean;
    /** What the button is called that brings the last question back; empty for none. */
    readonly back: string;
    readonly status: string;
    readonly note: string;
    /** HTML of ours: the case and the question. */
    readonly page: string;
  };
}

/** What every component of a notebook has: the code it wants by name and version, and the code itself in one of them. */
export interface CarrierTraits {
  readonly component: string;
  readonly code: { readonly module?: string; readonly styles?: string };
}

/** A paper beside its questions. */
export interface SheetTraits {
  part: "head" | "review" | "hand-in";
  view: SheetView;
  state: SheetState;
}

export interface SheetView {
  readonly language: string;
  readonly large: boolean;
  readonly words: Readonly<
    Record<"title" | "left" | "over" | "none" | "some" | "refresh" | "button" | "yes" | "no" | "keep", string>
  >;
}

export interface SheetState {
  readonly left: number;
  readonly runs: boolean;
  readonly answered: string;
  readonly open: readonly string[];
  readonly sure: string;
  readonly notes: readonly string[];
  readonly done: readonly string[];
}
