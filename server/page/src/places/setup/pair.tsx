/** A fact in a list of pairs: its name, dots, its value. */
export const Pair = ({ name, value }: { name: string; value: string }) => (
  <div class="lead">
    <dt>{name}</dt>
    <dd>{value}</dd>
  </div>
)
