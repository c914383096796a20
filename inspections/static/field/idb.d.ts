// Types of the library beside it, as its package of the same version brings them.
declare global {
  var idb: typeof import("idb");
}
export {};
