// @ts-check
// The line to the kernel that marks: found, opened, and found again whatever stopped it. It speaks Jupyter's own protocol
// over Jupyter's own socket, one comm a page, and shows nothing.

/** @typedef {import("./told").FromKernel} FromKernel */
/** @typedef {import("./told").TroubleKind} TroubleKind */

/** How long to wait, in milliseconds, for the kernel to answer, and before the server is asked again. */
const PATIENCE = 20_000;
const PAUSES = [300, 1000, 2000, 4000];

/** A name that nobody else has. */
function fresh() {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** @param {string} name */
function cookie(name) {
  const found = document.cookie.split("; ").find((pair) => pair.startsWith(`${name}=`));
  return found === undefined ? "" : found.slice(name.length + 1);
}

/** A line that mends itself. */
export class Link {
  session = fresh();
  comm = "";
  /** Whether the kernel has answered, and hears what is said. */
  isOpen = false;
  failures = 0;
  /** @type {WebSocket | null} */
  socket = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  timer;
  /** @type {{ code: string, target: string }} */
  opening = { code: "", target: "" };

  /**
   * @param {object} given
   * @param {string} given.address that says which kernel marks
   * @param {string} given.base of the server's root
   * @param {(told: FromKernel) => void} given.hear
   * @param {(kind: TroubleKind, text?: string) => void} given.onTrouble
   */
  constructor({ address, base, hear, onTrouble }) {
    this.address = address;
    this.base = base;
    this.hear = hear;
    this.onTrouble = onTrouble;
  }

  /** Find the kernel and open the line; what fails is tried again. */
  async open() {
    clearTimeout(this.timer);
    this.#drop();
    try {
      const answer = await fetch(this.address, {
        method: "POST",
        headers: { "X-XSRFToken": cookie("_xsrf") },
        signal: AbortSignal.timeout(PATIENCE),
      });
      if (answer.status === 401 || answer.status === 403) return this.#fail("other-pass");
      const told = await answer.json();
      if (answer.status === 409) return this.#fail("refused", told.trouble);
      if (!answer.ok) return this.#fail("stopped");
      this.opening = { code: told.code, target: told.target };
      this.#connect(told.kernel);
    } catch {
      this.#fail("stopped");
    }
  }

  /** Say something to the kernel; false where nobody hears it. @param {object} data */
  say(data) {
    if (!this.isOpen) return false;
    this.#send("comm_msg", { comm_id: this.comm, data });
    return true;
  }

  /** The page is going: the kernel need not tell it anything more. */
  leave() {
    if (this.isOpen) this.#send("comm_close", { comm_id: this.comm, data: {} });
  }

  /** @param {string} kernel */
  #connect(kernel) {
    const root = new URL(this.base, location.href);
    root.protocol = root.protocol === "https:" ? "wss:" : "ws:";
    const socket = new WebSocket(`${root.href}api/kernels/${kernel}/channels?session_id=${this.session}`);
    this.socket = socket;
    socket.onopen = () => this.#attend();
    socket.onmessage = (event) => {
      if (socket === this.socket && typeof event.data === "string") this.#onMessage(JSON.parse(event.data));
    };
    socket.onclose = () => {
      if (socket === this.socket) this.#fail("stopped");
    };
  }

  /** Let the kernel open the workbook, if it has not, and open a comm to it. */
  #attend() {
    this.isOpen = false;
    this.comm = fresh();
    const { code, target } = this.opening;
    this.ran = this.#send("execute_request", { code, silent: true, store_history: false, allow_stdin: false });
    this.#send("comm_open", { comm_id: this.comm, target_name: target, data: {} });
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.open(), PATIENCE);
  }

  /**
   * @param {string} kind
   * @param {object} content
   */
  #send(kind, content) {
    const header = { msg_id: fresh(), username: "", session: this.session, date: "", msg_type: kind, version: "5.3" };
    header.date = new Date().toISOString();
    const message = { header, parent_header: {}, metadata: {}, content, channel: "shell", buffers: [] };
    this.socket?.send(JSON.stringify(message));
    return header.msg_id;
  }

  /** @param {any} message */
  #onMessage(message) {
    const { header, content } = message;
    if (header.msg_type === "comm_msg" && content.comm_id === this.comm) {
      if (content.data.say === "open") this.#opened();
      this.hear(content.data);
    } else if (header.msg_type === "status") {
      if (content.execution_state === "dead") this.#fail("restarted");
      else if (/restarting/.test(content.execution_state)) {
        this.onTrouble("restarted");
        this.#attend();
      }
    } else if (header.msg_type === "execute_reply" && message.parent_header?.msg_id === this.ran) {
      if (content.status === "error") this.#fail("refused", content.evalue);
    }
  }

  #opened() {
    clearTimeout(this.timer);
    this.isOpen = true;
    this.failures = 0;
  }

  /**
   * @param {TroubleKind} kind
   * @param {string} [text]
   */
  #fail(kind, text) {
    this.#drop();
    this.onTrouble(kind, text);
    const pause = PAUSES[Math.min(this.failures, PAUSES.length - 1)];
    this.failures += 1;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.open(), kind === "refused" ? PATIENCE : pause);
  }

  #drop() {
    this.isOpen = false;
    const socket = this.socket;
    this.socket = null;
    socket?.close();
  }
}
