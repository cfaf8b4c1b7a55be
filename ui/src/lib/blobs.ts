/** Files kept in this browser until the server has them, so that a phone that closes the page loses none (IndexedDB).
 * Where a browser keeps nothing (a private window) they live as long as the page. */
export interface KeptFile {
  id: string;
  file: Blob;
  about: unknown;
}

const kName = 'lotwright.photos';
const kStore = 'waiting';

function opened(): Promise<IDBDatabase | null> {
  return new Promise((done) => {
    try {
      const request = indexedDB.open(kName, 1);
      request.onupgradeneeded = () => request.result.createObjectStore(kStore, { keyPath: 'id' });
      request.onsuccess = () => done(request.result);
      request.onerror = () => done(null);
    } catch {
      done(null);
    }
  });
}

async function inStore<T>(mode: IDBTransactionMode, act: (store: IDBObjectStore) => IDBRequest<T>): Promise<T | null> {
  const database = await opened();
  if (database === null) return null;
  return new Promise<T | null>((done) => {
    const transaction = database.transaction(kStore, mode);
    const request = act(transaction.objectStore(kStore));
    transaction.oncomplete = () => done(request.result);
    transaction.onerror = () => done(null);
    transaction.onabort = () => done(null);
  }).finally(() => database.close());
}

export async function keepFile(kept: KeptFile): Promise<void> {
  await inStore('readwrite', (store) => store.put(kept));
}

export async function dropFile(id: string): Promise<void> {
  await inStore('readwrite', (store) => store.delete(id));
}

export async function keptFiles(): Promise<KeptFile[]> {
  return (await inStore<KeptFile[]>('readonly', (store) => store.getAll() as IDBRequest<KeptFile[]>)) ?? [];
}
