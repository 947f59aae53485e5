declare module "webppl" {
  const webppl: {
    run(program: string, done: (store: unknown, value: { score(value: number): number }) => void): void;
  };
  export default webppl;
}
