// What the server tells a page, and what page and kernel say to each other. Types only.

import type { Answer, View } from "../../workbook/static/form/model";

export type State = "open" | "right" | "partly" | "wrong";

/** What stands in the page when it comes. */
export interface Told {
  readonly name: string;
  /** Address of the server's root, of our files, of whoever says which kernel marks; each with what it ends in. */
  readonly base: string;
  readonly static: string;
  readonly kernel: string;
  /** Under which name this browser keeps what was typed here. */
  readonly home: string;
  readonly forms: Readonly<Record<string, { view: View; answer: Answer; score: string }>>;
  readonly words: Readonly<Record<TroubleKind | State | "back" | "again" | "elsewhere" | "elsewhereLink", string>>;
  readonly elsewhere: string;
  readonly signs: Readonly<Record<State, string>>;
}

export type TroubleKind = "connecting" | "restarted" | "stopped" | "other-pass" | "refused";

/** A component as the kernel tells of it. */
export interface ToldComponent {
  readonly key: string;
  /** Its module below the folder of components, and its style sheets. */
  readonly module: string;
  readonly sheets: readonly string[];
  readonly traits: Traits;
}

export type Traits = Record<string, unknown>;

export interface Standings {
  readonly states: Readonly<Record<string, State>>;
  readonly answered: number;
  readonly questions: number;
  readonly following: string;
  readonly table: string;
  readonly stand: string;
  readonly goOn: string;
}

export type FromKernel =
  | {
      readonly say: "open";
      readonly notices: readonly string[];
      readonly places: Readonly<Record<string, readonly ToldComponent[]>>;
      readonly html: Readonly<Record<string, string>>;
      readonly elsewhere: readonly string[];
      /** None of a paper, which tells nothing of how its answers stand. */
      readonly standings: Standings | null;
    }
  | { readonly say: "traits"; readonly key: string; readonly traits: Traits }
  | { readonly say: "event"; readonly key: string; readonly content: unknown }
  | { readonly say: "mount"; readonly place: string; readonly components: readonly ToldComponent[] }
  | { readonly say: "html"; readonly place: string; readonly html: string }
  | { readonly say: "elsewhere"; readonly places: readonly string[] }
  | { readonly say: "standings"; readonly standings: Standings }
  | { readonly say: "done"; readonly n: number };

/** What a page asks of the kernel. */
export interface Asked {
  n?: number;
  key: string;
  traits?: Traits;
  press?: { press: string; [name: string]: unknown };
}
