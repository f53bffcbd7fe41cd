import { css } from 'lit';

export const styles = css`
  h3 {
    margin: 0.6rem 0 0.1rem;
    font-size: 1rem;
    font-weight: 600;
  }
  ul {
    margin: 0;
    padding: 0;
    list-style: none;
  }
  li {
    display: flex;
    flex-wrap: wrap;
    gap: 0.1rem 0.4rem;
    padding: 0.25rem 0;
    border-top: 1px solid var(--rule);
  }
  span:not(.hidden),
  small {
    flex: 1 0 100%;
    overflow-wrap: anywhere;
  }
  button {
    flex: 1;
    padding-inline: 0.4rem;
    border-color: var(--rule);
  }
  .sure {
    border-color: var(--fault);
    color: var(--fault);
  }
`;
