// What is used of JupyterLab and of Lumino, and nothing more. Types only: no code, and nothing that is loaded.

/** A signal: whoever is connected is told. */
export interface Signal<Sender, Told> {
  connect(slot: (sender: Sender, told: Told) => void): unknown;
}

export interface Widget {
  readonly node: HTMLElement;
  readonly parent: Widget | null;
  readonly isDisposed: boolean;
  readonly isVisible: boolean;
  children(): Iterable<Widget>;
  fit?(): void;
  hide(): void;
  hasClass(name: string): boolean;
  addClass(name: string): void;
  removeClass(name: string): void;
  toggleClass(name: string, isOn: boolean): unknown;
}

export interface CellModel {
  readonly type: string;
  readonly sharedModel: { getSource(): string };
  /** Of code cells: what was saved with the cell, or what running it has put there. */
  readonly outputs?: { clear(): void };
}

export interface Cell extends Widget {
  readonly model: CellModel;
}

export interface NotebookModel {
  dirty: boolean;
  readonly cells: { readonly changed: Signal<unknown, unknown> };
  getMetadata(key: string): unknown;
  deleteMetadata(key: string): void;
}

export interface Notebook extends Widget {
  readonly model: NotebookModel | null;
  readonly widgets: readonly Cell[];
}

export interface Kernel {
  readonly info: Promise<{ readonly language_info: { readonly name: string } }>;
  requestExecute(content: { code: string; silent: boolean; store_history: boolean }): {
    readonly done: Promise<unknown>;
  };
}

export interface SessionContext {
  readonly ready: Promise<void>;
  readonly session: { readonly kernel: Kernel | null } | null;
  readonly statusChanged: Signal<unknown, string>;
}

/** The window of one notebook. */
export interface Panel extends Widget {
  readonly content: Notebook;
  readonly context: { readonly path: string; readonly ready: Promise<void>; readonly model: { dirty: boolean } };
  readonly revealed: Promise<void>;
  readonly sessionContext: SessionContext;
  readonly toolbar: Widget;
  [printing: symbol]: (() => (() => Promise<void>) | null) | undefined;
}

export interface Tracker {
  readonly currentWidget: Panel | null;
  readonly widgetAdded: Signal<unknown, Panel>;
  has(widget: Widget): boolean;
  forEach(each: (panel: Panel) => void): void;
}

export interface App {
  readonly serviceManager: { readonly contents: { driveName(path: string): string } };
  readonly shell: Widget & {
    readonly currentWidget: Widget | null;
    readonly currentChanged?: Signal<unknown, unknown>;
    readonly modeChanged?: Signal<unknown, unknown>;
  };
}

/** What the container takes out of JupyterLab's modules for the others. */
export interface Host {
  /** Run a code cell: clears its outputs, trusts it, and gives the kernel's reply. */
  execute(cell: Cell, session: SessionContext): Promise<{ content: { status: string } } | undefined>;
  /** Tell when the user, not we, has a cell of some notebook run. */
  onScheduled(slot: (sender: unknown, told: { readonly notebook: Notebook }) => void): void;
  /** The name under which a window says how it prints. */
  readonly printing: symbol;
}

/** The modules that JupyterLab shares: package → version → how to get it. */
export type ShareScope = Record<string, Record<string, { loaded?: unknown; get(): Promise<() => unknown> }>>;

/** What JupyterLab asks of a federated extension. */
export interface Container {
  init(scope: ShareScope): void;
  get(name: string): Promise<() => unknown>;
}

declare global {
  interface Window {
    _JUPYTERLAB?: Record<string, Container>;
  }
}
