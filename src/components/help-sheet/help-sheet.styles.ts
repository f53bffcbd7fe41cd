import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: 52rem;
  }
  .content {
    padding: 1.3rem 1.6rem;
  }
  .heading {
    align-items: center;
    margin-bottom: 0.5rem;
  }
  h2 {
    font-size: 1.25rem;
  }
  h3 {
    margin: 0 0 0.2rem;
    padding-top: 0.4rem;
    border-top: 1.5px solid var(--ink);
    font-size: 1rem;
    font-weight: 600;
  }
  p {
    max-width: 46rem;
  }
  .groups {
    display: grid;
    grid-template-columns: repeat(auto-fit, minmax(min(21rem, 100%), 1fr));
    gap: 1.1rem 2rem;
    margin: 1rem 0;
  }
  tr + tr {
    border-top: 1px solid var(--rule);
  }
  th,
  td {
    padding: 0.25rem 0;
    vertical-align: baseline;
  }
  th {
    width: 8.2rem;
    padding-right: 0.6rem;
    white-space: nowrap;
  }
  kbd {
    display: inline-block;
    min-width: 1.6rem;
    padding: 0.02rem 0.4rem;
    border: 1px solid var(--rule-strong);
    border-radius: 3px;
    background: var(--well);
    font: inherit;
    font-size: var(--small);
    text-align: center;
  }
  .marks {
    display: flex;
    flex-wrap: wrap;
    gap: 0.3rem 1.4rem;
    margin: 0.8rem 0 0;
    padding: 0;
    list-style: none;
  }
  .marks li {
    display: flex;
    align-items: center;
    gap: 0.5rem;
  }
  .marks i {
    width: 1.8rem;
    border-top: 1px solid var(--clean);
  }
  .marks .coloured {
    border-top: 3px solid var(--coloured);
  }
  .marks .added {
    border-top: 2px dotted var(--coloured);
  }
  .marks .odd,
  .marks .even {
    width: 0.7rem;
    height: 0.7rem;
    border: 1.5px solid var(--odd);
    background: var(--odd);
  }
  .marks .even {
    border-color: var(--even);
    background: none;
  }
  @media (max-width: 860px) {
    .content {
      padding: 1rem;
    }
  }
`;
