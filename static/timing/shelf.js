// A shelf in the device's own store (IndexedDB), which outlives the page, the browser and a flat battery.
"use strict";
window.shelf = (name, table, layout) => {
  const store = new Promise((found) => {
    try {
      const asked = indexedDB.open(name, 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore(table, layout);
      asked.onsuccess = () => found(asked.result);
      asked.onerror = () => found(null);
    } catch {
      found(null);
    }
  });

  // One act on the store; what it asked for, once it is on the disk.
  return async (mode, act) => {
    const there = await store;
    if (!there) throw new Error("This device keeps nothing.");
    return new Promise((done, failed) => {
      const change = there.transaction(table, mode, { durability: "strict" });
      const asked = act(change.objectStore(table));
      change.oncomplete = () => done(asked.result);
      change.onabort = () => failed(change.error);
    });
  };
};
