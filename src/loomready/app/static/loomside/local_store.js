// Steps done, stored in the browser's own database at once, and which of them the server has received.

const STORE = "facts";

/** @returns {Promise<IDBDatabase | null>} null where the browser keeps nothing */
function open() {
  return new Promise((resolve) => {
    try {
      const asked = indexedDB.open("loomready-beside", 1);
      asked.onupgradeneeded = () => {
        asked.result.createObjectStore(STORE, { keyPath: "id" }).createIndex("of", "of");
      };
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => resolve(null);
      asked.onblocked = () => resolve(null);
    } catch {
      resolve(null);
    }
  });
}

export class Keep {
  /** @param {IDBDatabase | null} database @param {string} of whose facts: guild and warp */
  constructor(database, of) {
    this.database = database;
    this.of = of;
  }

  /** @param {string} of */
  static async open(of) {
    return new Keep(await open(), of);
  }

  get keeps() {
    return this.database !== null;
  }

  /** All that is kept, with whether it was sent. @returns {Promise<{row: any[], sent: boolean}[]>} */
  all() {
    return this.#ask("readonly", (store) => store.index("of").getAll(this.of), []);
  }

  /** @param {any[][]} rows @param {boolean} sent @returns {Promise<boolean>} whether they are stored */
  async put(rows, sent) {
    if (!this.database || !rows.length) return false;
    const act = this.database.transaction(STORE, "readwrite", { durability: "strict" });
    const store = act.objectStore(STORE);
    for (const row of rows) store.put({ id: `${this.of}/${row.join("/")}`, of: this.of, row, sent });
    return new Promise((resolve) => {
      act.oncomplete = () => resolve(true);
      act.onerror = () => resolve(false);
      act.onabort = () => resolve(false);
    });
  }

  /** Delete facts that no longer count. @param {any[][]} rows */
  drop(rows) {
    if (!this.database || !rows.length) return;
    const store = this.database.transaction(STORE, "readwrite").objectStore(STORE);
    for (const row of rows) store.delete(`${this.of}/${row.join("/")}`);
  }

  /**
   * @param {IDBTransactionMode} mode @param {(store: IDBObjectStore) => IDBRequest} request
   * @param {any} otherwise where nothing can be asked
   */
  #ask(mode, request, otherwise) {
    const database = this.database;
    if (!database) return Promise.resolve(otherwise);
    return new Promise((resolve) => {
      const asked = request(database.transaction(STORE, mode).objectStore(STORE));
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => resolve(otherwise);
    });
  }
}
